/* SPDX-License-Identifier: MIT */
/* One finding as the board has it, and how it is called there. */
#ifndef GAINWARDEN_WATCH_BOARD_FINDING_H
#define GAINWARDEN_WATCH_BOARD_FINDING_H

#include "base/json.h"
#include "watch/standing.h"

/* "value-jumped:18:0:stop:23": check, input, mix, and how bad it was told to be, so that one that
 * grew worse is another; the same after a restart. */
enum { BOARD_ID_SIZE = 120 };
const char *board_finding_id(const struct finding *finding, char id[BOARD_ID_SIZE]);

/* The open one that is called so; NULL: it is over, or grew worse. */
const struct finding *board_finding_find(const struct watch_desk *desk, const char *id);

struct json *board_finding(const struct watch_desk *desk, const struct standing *one);

/* "up" or "down", as its figure says; "" for what has no direction. */
const char *board_finding_arrow(const struct watch_desk *desk, const struct finding *finding);

#endif
