/* SPDX-License-Identifier: MIT */
/* The equaliser of a mix, band by band as it stands, for the board. */
#ifndef GAINWARDEN_WATCH_BOARD_EQUALISER_H
#define GAINWARDEN_WATCH_BOARD_EQUALISER_H

#include "base/json.h"
#include "engine/engine.h"

/* [{"what": "band 3", "hz": "315 Hz", "gain": "-6 dB", "width": "Q 4", "is_cut"}]: what is in circuit
 * and does something. One entry without figures says that it is not known. */
struct json *board_equaliser(const struct engine *engine, int mix);

#endif
