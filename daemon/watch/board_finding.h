/* SPDX-License-Identifier: MIT */
/* One finding as the board has it. Its id says check, input, mix, and how bad it was told to be,
 * "value-jumped:18:0:stop:23.0", so that one that grew worse is another; it is the same after a
 * restart.
 */
#ifndef GAINWARDEN_WATCH_BOARD_FINDING_H
#define GAINWARDEN_WATCH_BOARD_FINDING_H

#include "base/json.h"
#include "watch/standing.h"

/* The open one whose "id" that is; NULL: it is over, or grew worse. */
const struct finding *board_finding_find(const struct watch_desk *desk, const char *id);

struct json *board_finding(const struct watch_desk *desk, const struct standing *one);

/* Which mix it shows in; -1: in none, or in several. */
int board_finding_mix(const struct finding *finding);

/* "up" or "down", as its figure says; "" for what has no direction. */
const char *board_finding_arrow(const struct watch_desk *desk, const struct finding *finding);

#endif
