/* SPDX-License-Identifier: MIT */
/* The local socket over which a running watch is spoken to: one request a connection, one line of
 * JSON each way. Its owner alone (and root) may speak: the socket's mode and the peer's user id say
 * so. Plain POSIX on the loop's descriptors: pipes of libuv's would add nothing.
 *
 * Whoever follows stays behind the answer and gets every line that is published from then on, as
 * fast as he takes them: what he has not begun to take gives way to the next, so that nobody who is
 * slow is told of the past, holds the watch up or lets it grow. Nothing more is taken from him.
 */
#ifndef GAINWARDEN_CONTROL_H
#define GAINWARDEN_CONTROL_H

#include "base/json.h"
#include "loop/loop.h"

enum {
    CONTROL_LINE_SIZE = 64 * 1024,
    CONTROL_CONNECTIONS = 8,
    CONTROL_FOLLOWERS = 4,       /* of the connections, so that there is always one to ask */
    CONTROL_PATIENCE_MS = 5000,  /* for a whole request, and for its answer to be taken */
    CONTROL_STUCK_MS = 60 * 1000 /* for whoever follows to take anything of a line */
};

struct control_owner {
    /* Answers a request; the answer is freed by control.c. */
    struct json *(*answer)(void *context, const struct json *request);
    /* Whoever asks this follows, unless it is refused: what, from 1 on; 0: nothing. */
    int (*follows)(void *context, const struct json *request);
    void *context;
};

/* {"ok": false, "error": ...} */
struct json *control_refusal(const char *error);

struct control;

/* Listens at the path. A socket that nobody listens at is taken over; NULL, with the reason in the
 * problems, when somebody does or it cannot be made. */
struct control *control_open(struct loop *loop, const char *path, struct control_owner owner,
                             struct problems *problems);

/* How often somebody else than its owner and root was turned away; NULL: nobody can come. */
size_t control_strangers(const struct control *control);

/* How many follow that; NULL: nobody can. */
int control_followers(const struct control *control, int what);

/* One of them has not taken all that was published: more would take its place. */
bool control_is_behind(const struct control *control, int what);

/* One line to each of them. */
void control_publish(struct control *control, int what, const struct json *line);

/* Stops listening and removes the socket. */
void control_close(struct control *control);

#endif
