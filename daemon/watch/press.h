/* SPDX-License-Identifier: MIT */
/* What somebody does about one finding, with his name: he has seen it (noticed.h), or it was meant,
 * and is quieted for the evening as `gainwarden quiet` would.
 */
#ifndef GAINWARDEN_WATCH_PRESS_H
#define GAINWARDEN_WATCH_PRESS_H

#include "base/json.h"
#include "board/board.h"

struct watch_desk;

/* {"do": "seen", "finding": ID, "by": NAME}, as board_finding.h names it. The finding, or NULL with
 * what is wrong. */
const struct finding *press_seen(struct watch_desk *desk, const struct json *request,
                                 const char **error);

/* A button of the board, over that desk: as press() of board.h. */
const char *press_button(struct watch_desk *desk, const struct board_press *press, char *error);

#endif
