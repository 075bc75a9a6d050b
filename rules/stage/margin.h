/* SPDX-License-Identifier: MIT */
/* How far below the onset of a ring the stage is, as an estimate with its give-or-take.
 *
 * The desk's part of a path is exact; what may be off is its air (leg.h) and, for the whole stage, how
 * the phases of its paths meet.
 */
#ifndef GAINWARDEN_RULES_MARGIN_H
#define GAINWARDEN_RULES_MARGIN_H

#include "stage/loops.h"

struct margin {
    double db;              /* HUGE_VAL: no loop is closed */
    double give_or_take_db; /* either way, in nine cases of ten */
    bool absolute;          /* else it means nothing by itself: only differences do */
    double gap_db;          /* how much more it may be because the bounds did not meet */
    int band;
    struct loop_path leads; /* the loudest path in that band, where a loop is closed */
};

struct margin margin_of_path(const struct loops *loops, struct loop_path path);
struct margin margin_of_stage(const struct loops *loops, enum phases phases);

/* Whether every loudspeaker of the mix, every microphone and the desk have all the figures that an
 * absolute gain needs, open or not. */
bool margin_may_be_absolute(const struct loops *loops, int mix);

/* Of one mix by itself with all its microphones, phases at random. */
struct margin margin_of_mix(const struct loops *loops, int mix);

#endif
