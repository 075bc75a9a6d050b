/* SPDX-License-Identifier: MIT */
/* The local socket over which a running watch is spoken to: one request a connection, one line of
 * JSON each way. Its owner alone (and root) may speak: the socket's mode and the peer's user id say
 * so. Plain POSIX on the loop's descriptors: pipes of libuv's would add nothing.
 */
#ifndef GAINWARDEN_CONTROL_H
#define GAINWARDEN_CONTROL_H

#include "base/json.h"
#include "loop/loop.h"

enum {
    CONTROL_LINE_SIZE = 64 * 1024,
    CONTROL_CONNECTIONS = 8,
    CONTROL_PATIENCE_MS = 5000 /* for a whole request, and for its answer to be taken */
};

/* Answers a request; the answer is freed by control.c. */
typedef struct json *control_fn(void *context, const struct json *request);

/* {"ok": false, "error": ...} */
struct json *control_refusal(const char *error);

struct control;

/* Listens at the path. A socket that nobody listens at is taken over; NULL, with the reason in the
 * problems, when somebody does or it cannot be made. */
struct control *control_open(struct loop *loop, const char *path, control_fn *answer, void *context,
                             struct problems *problems);

/* How often somebody else than its owner and root was turned away; NULL: nobody can come. */
size_t control_strangers(const struct control *control);

/* Stops listening and removes the socket. */
void control_close(struct control *control);

#endif
