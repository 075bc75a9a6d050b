/* SPDX-License-Identifier: MIT */
/* Onsets that a ring-out measured, in place of allowances.
 *
 * Where a path rang its loop gain was 0 dB, so its acoustic gain at that frequency is known: what the
 * desk's gain was then, with the other sign. How far that lies above direct sound and room of the plan
 * takes the place of the pattern's allowance, and no figure of the plan is in doubt on that path any
 * more. Where other paths rang along, the path is made worse than it is; of several rings the highest
 * counts.
 */
#ifndef GAINWARDEN_RULES_MEASURED_H
#define GAINWARDEN_RULES_MEASURED_H

#include "stage/loops.h"

struct onset_measured {
    int input, mix; /* of the desk, 0-based */
    double hz;
    double desk_db; /* the desk's gain of that path there, when it rang */
};

/* Takes these for the paths of the plan that they are of, and works out the air anew. */
void measured_take(struct loops *loops, const struct onset_measured *onsets, int count);

#endif
