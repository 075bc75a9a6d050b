/* SPDX-License-Identifier: MIT */
/* What is asked of the board over HTTP, and answered: one row a path. Each is only answered who came
 * by a name of ours (gate.h) and may have it (links.h).
 */
#ifndef GAINWARDEN_BOARD_ANSWERS_H
#define GAINWARDEN_BOARD_ANSWERS_H

#include "board/board.h"
#include "board/links.h"
#include "board/listen_at.h"
#include "board/server.h"

struct answers;

struct answers_owner {
    struct feed_reader *(*begin)(void *context); /* given to the caller */
    void *context;
};

/* Everything handed in outlives it. */
struct answers *answers_new(struct loop *loop, const struct board_source *source,
                            const struct board_links *links, const struct listen_at *at,
                            struct answers_owner owner);
void answers_free(struct answers *answers);

struct server_owner answers_server(struct answers *answers);

/* When each desk was heard by these facts, for the caller: {"at_ms": ..., "heard": [...]}. */
struct json *answers_beat(struct answers *answers, const struct json *facts);

#endif
