/* SPDX-License-Identifier: MIT */
/* The asking side of the control socket (control.h). */
#ifndef GAINWARDEN_CONTROL_ASK_H
#define GAINWARDEN_CONTROL_ASK_H

#include "base/json.h"
#include "base/problems.h"

/* Asks the watch that listens at the path, and waits, at most CONTROL_PATIENCE_MS. The answer, an
 * object for json_free(), or NULL with the reason in the problems. */
struct json *control_ask(const char *path, const struct json *request, struct problems *problems);

#endif
