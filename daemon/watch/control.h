/* SPDX-License-Identifier: MIT */
/* What a running watch is asked over its control socket, and answers: one row a request. */
#ifndef GAINWARDEN_WATCH_CONTROL_H
#define GAINWARDEN_WATCH_CONTROL_H

#include <stdbool.h>

struct json;
struct watch_desk;

/* For the control socket; the context is the desk. */
struct json *watch_answer(void *context, const struct json *request);

/* What it asks for, and stays to see (follow.h); 0: nothing. */
int watch_follows(void *context, const struct json *request);

/* The same of a recording, which knows of ring-outs too (ringing.h). False when it is no request that moves anything. */
bool watch_asked(struct watch_desk *desk, const struct json *request);

#endif
