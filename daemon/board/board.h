/* SPDX-License-Identifier: MIT */
/* The board: the running watch in a browser beside the desk. It serves one page, a stream of facts
 * and two buttons, and knows nothing of desks: whoever opens it fills in the facts and does what the
 * buttons say.
 *
 * Two links lead to it, one to look and one to operate. Who has neither sees an empty page.
 */
#ifndef GAINWARDEN_BOARD_H
#define GAINWARDEN_BOARD_H

#include "base/json.h"
#include "loop/loop.h"

enum {
    BOARD_PORT = 29300, /* where the address names none */
    BOARD_ERROR_SIZE = 400,
    BOARD_LINK_SIZE = 400
};

enum board_button { BOARD_SEEN, BOARD_MEANT };

struct board_press {
    enum board_button button;
    int desk; /* from 0; of those the watch has, or not */
    const char *finding, *who;
    bool again; /* the second press, which some findings want */
};

/* Who opened it. All are called on the loop's thread. */
struct board_source {
    struct json *(*facts)(void *context);                  /* given to the caller */
    struct json *(*mix)(void *context, int desk, int mix); /* the same; NULL: no such mix */
    /* Does what the button says. NULL, or what was wrong with it as one sentence; `error` has room
     * for one of BOARD_ERROR_SIZE. BOARD_AGAIN: it wants a second press. */
    const char *(*press)(void *context, const struct board_press *press, char *error);
    void *context;
};

/* Given back by press() itself, no copy of it. */
extern const char BOARD_AGAIN[];

struct board_settings {
    const char *at;   /* HOST, HOST:PORT or :PORT; "": loopback */
    const char *kept; /* the file that keeps the links' tokens; made, for its owner alone */
};

struct board;

/* Listens. NULL, with the reason in the problems, when it cannot. */
struct board *board_open(struct loop *loop, const struct board_settings *settings,
                         struct board_source source, struct problems *problems);

/* Something changed: whoever looks is sent the facts, at once or soon. Cheap when nobody does. */
void board_news(struct board *board);

/* Where it is, without a secret: "http://127.0.0.1:29300/". */
const char *board_address(const struct board *board, char link[BOARD_LINK_SIZE]);

/* The link to look, or to operate. It holds a secret: for its owner's eyes alone. */
const char *board_link(const struct board *board, bool operates, char link[BOARD_LINK_SIZE]);

void board_close(struct board *board);

#endif
