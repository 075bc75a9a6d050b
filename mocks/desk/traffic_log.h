/* One line per datagram received: monotonic ms at which it came, source, bytes in hex. */
#ifndef MOCK_TRAFFIC_LOG_H
#define MOCK_TRAFFIC_LOG_H

#include "link.h"

#include <stdio.h>

/* NULL after printing why; close with fclose(). */
FILE *TrafficLog_open(const char *file);
void TrafficLog_add(FILE *log, const struct Received *received);

#endif
