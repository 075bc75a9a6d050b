/* SPDX-License-Identifier: MIT */
/* The asking side of the control socket (control.h), and what other commands say over it. */
#ifndef GAINWARDEN_CONTROL_ASK_H
#define GAINWARDEN_CONTROL_ASK_H

#include <stdio.h>

#include "base/json.h"
#include "base/options.h"

/* Asks the watch that listens at the path, and waits, at most CONTROL_PATIENCE_MS. The answer, an
 * object for json_free(), or NULL with the reason in the problems. */
struct json *control_ask(const char *path, const struct json *request, struct problems *problems);

/* Lets the watch of this show, when one runs, take over what was just written, and says so there. */
void control_take_over(const struct options *options, FILE *to);

/* Lets it begin again where a hook had stopped delivery, and says so: the hook works. */
void control_deliver(const struct options *options);

#endif
