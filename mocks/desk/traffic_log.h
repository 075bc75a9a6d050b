/* SPDX-License-Identifier: MIT */
/* One line per datagram received: monotonic ms at which it came, source, bytes in hex. */
#ifndef MOCK_TRAFFIC_LOG_H
#define MOCK_TRAFFIC_LOG_H

#include <stdio.h>

#include "link.h"

/* NULL after printing why; close with fclose(). */
FILE *traffic_log_open(const char *file);
void traffic_log_add(FILE *log, const struct received *received);

#endif
