/* SPDX-License-Identifier: MIT */
/* What is known of the rings of a mix, for the board: what was heard while ringing out, and what the
 * stage plan makes of it, which is an estimate.
 */
#ifndef GAINWARDEN_WATCH_BOARD_RINGS_H
#define GAINWARDEN_WATCH_BOARD_RINGS_H

#include "base/json.h"
#include "engine/engine.h"

/* ["315 Hz, through input 18 Ld Vox, 17:42: its path stands 4.5 dB below that now"] */
struct json *board_rings(const struct engine *engine, int mix);

/* ["estimated 3 dB below the first ring, give or take 2 dB: at 2.5 kHz, through input 18 ..."]; nothing
 * without a plan that places a loudspeaker of the mix. */
struct json *board_stage(const struct engine *engine, int mix);

#endif
