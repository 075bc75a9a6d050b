/* SPDX-License-Identifier: MIT */
/* The only file that knows libmicrohttpd: HTTP on the loop, for a bounded number of browsers that may
 * be slow, stuck or hostile.
 *
 * A connection is for one request, and has SERVER_REQUEST_MS for it, until all of the answer is taken.
 * Then it is cut. Only a stream goes on, for as long as he who reads it takes something every
 * SERVER_STUCK_MS. For whom there is no room: door.h.
 */
#ifndef GAINWARDEN_BOARD_SERVER_H
#define GAINWARDEN_BOARD_SERVER_H

#include <sys/socket.h>

#include "board/feed.h"
#include "loop/loop.h"

enum { SERVER_REQUEST_MS = 10 * 1000, SERVER_STUCK_MS = 10 * 1000, SERVER_BODY_SIZE = 1024 };

/* Texts are valid during the call. */
struct server_request {
    const char *method, *path;  /* as they were sent: nothing is decoded */
    const struct sockaddr *own; /* the address at which it came in */
    const char *body;           /* `length` bytes and a NUL; NULL: the head alone is there yet */
    size_t length;
    void *connection;
};

/* Of the request; NULL when it is not there, and of a header when it stands there twice. */
const char *server_header(const struct server_request *request, const char *name);
const char *server_cookie(const struct server_request *request, const char *name);
const char *server_argument(const struct server_request *request, const char *name);

enum { SERVER_COOKIE_SIZE = 300 };

struct server_answer {
    int status;
    const char *type;
    char *text;                      /* given, for free(); NULL: */
    const char *fixed;               /* this, which lasts */
    struct feed_reader *reader;      /* given; not NULL: a stream, in place of a text */
    const char *allow;               /* methods; NULL: not told */
    char cookie[SERVER_COOKIE_SIZE]; /* to be set; "": none */
    int64_t after_ms;                /* it is given so much later */
};

struct server_owner {
    /* Called with the head of each request: whether it is answered already, refused as a rule; its
     * body is not read then. If not it is called again with the body, and answers. */
    bool (*answer)(void *context, const struct server_request *request,
                   struct server_answer *answer);
    /* What he is told who comes when there is no room. */
    void (*refuse)(void *context, struct server_answer *answer);
    void *context;
};

struct server;

/* Serves at the listening socket, which is taken over. */
struct server *server_open(struct loop *loop, int fd, struct server_owner owner);

/* There is something new in the stream. */
void server_wake(struct server *server);

/* Cuts all connections. */
void server_close(struct server *server);

#endif
