/* SPDX-License-Identifier: MIT */
/* What changed on a desk since it was approved, for the board. */
#ifndef GAINWARDEN_WATCH_BOARD_CHANGED_H
#define GAINWARDEN_WATCH_BOARD_CHANGED_H

#include "base/json.h"

struct watch_desk;

/* [{"at": "21:37:05", "arrow", "what": "Ld Vox send into 1: -13 to +10", "now"}], the newest first and
 * at most `most`; of one mix, -1: of all. As of the last look. */
struct json *board_changed(const struct watch_desk *desk, int mix, size_t most);

#endif
