/* SPDX-License-Identifier: MIT */
/* A tile a mix, in the desk's order: how it stands, in a word. */
#ifndef GAINWARDEN_WATCH_BOARD_TILE_H
#define GAINWARDEN_WATCH_BOARD_TILE_H

#include "base/json.h"
#include "desk/show.h"
#include "watch/standing.h"

/* What stands against one mix. */
struct board_tile {
    size_t of[WEIGHTS], quieted;
    const struct finding *worst; /* of those that count; NULL: none does */
    const struct finding *leap;  /* newer than a minute; NULL: there is none */
};

/* Of every mix, for free(). */
struct board_tile *board_tiles_of(const struct watch_desk *desk, const struct standing *list,
                                  size_t count);

/* A list of those that are used, or have a player. */
struct json *board_tiles(const struct watch_desk *desk, const struct board_tile *tiles);

/* What a mix feeds, "wedge", "fill", "ears", "not given"; its limiter, "": it needs none; what is
 * left of its margin, "": nothing is kept. */
enum { BOARD_WORDS_SIZE = 80 };
enum feeds board_feeds(const struct watch_desk *desk, int mix);
const char *board_kind(enum feeds feeds);
const char *board_limiter(const struct watch_desk *desk, int mix);
const char *board_margin(const struct watch_desk *desk, int mix, char text[BOARD_WORDS_SIZE]);

#endif
