/* SPDX-License-Identifier: MIT */
/* The other side of a control socket (control.h): whoever asks a running watch. */
#ifndef GAINWARDEN_CONTROL_CALL_H
#define GAINWARDEN_CONTROL_CALL_H

#include "base/json.h"

/* Connects and sends the request; the descriptor to read from, to be closed. -1, with the reason in
 * the problems, when nobody listens there or nothing is taken. A watch that hung up meanwhile may
 * have said why. */
int control_call(const char *path, const struct json *request, struct problems *problems);

/* Sends the request and waits for nothing: neither room nor an answer. What the watch cannot take at
 * once is lost. */
void control_post(const char *path, const struct json *request);

void control_tell_late(struct problems *problems);

#endif
