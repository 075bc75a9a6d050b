/* SPDX-License-Identifier: MIT */
/* One mix of the board, opened: everything that is known of it.
 *
 *   {"mix", "name", "player", "kind", "limiter", "margin",
 *    "equaliser": [{"what": "band 3", "hz": "315 Hz", "gain": "-6 dB", "width": "Q 4", "is_cut"}],
 *    "sends": [{"input": 12, "name", "level": "-13 dB", "to_own": "-6 dB", "closed"}],
 *    "changed", "rings": [line], "stage": [line], "findings": [finding]}
 *
 * "to_own" is how much louder or softer the input reaches this mix than its player's own, "own" where
 * this is that one, "" where there is none or it is not known.
 */
#ifndef GAINWARDEN_WATCH_BOARD_MIX_H
#define GAINWARDEN_WATCH_BOARD_MIX_H

#include "base/json.h"

struct watch_desk;

/* Of a mix from 1; NULL: the desk has no such. */
struct json *board_mix(const struct watch_desk *desk, int mix);

#endif
