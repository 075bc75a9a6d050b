/* SPDX-License-Identifier: MIT */
/* What is held back on a desk, by what, and until when. */
#ifndef GAINWARDEN_WATCH_BOARD_HELD_H
#define GAINWARDEN_WATCH_BOARD_HELD_H

#include "base/json.h"
#include "watch/standing.h"

/* ["4 note, held back by room show until 22:00", ...] */
struct json *board_held(const struct watch_desk *desk, const struct standing *list, size_t count);

#endif
