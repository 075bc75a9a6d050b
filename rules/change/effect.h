/* SPDX-License-Identifier: MIT */
/* What one value that differs between two desks does to the path gains: as much of what a path rose
 * or fell by as is of its own doing. A preamp 6 dB up whose sends are 2 dB down makes its paths 4 dB
 * louder, and the sends make none softer.
 */
#ifndef GAINWARDEN_RULES_EFFECT_H
#define GAINWARDEN_RULES_EFFECT_H

#include "change/offset.h"

struct effect {
    double louder_db, softer_db; /* the most, of one path; HUGE_VAL: it opens one, or closes one */
    bool known; /* else they are how far the control itself moved, for no path of it is known */
};

/* Of the value, which differs between the desks of the offsets, in all its paths; and in those into
 * one mix. */
struct effect effect_of(const struct offsets *offsets, enum param_id id, int row, int column);
struct effect effect_in(const struct offsets *offsets, enum param_id id, int row, int column,
                        int mix);

/* Whether it makes a path louder or softer. */
bool effect_is_any(struct effect effect);

/* ", 11.4 dB louder in mixes 1-4, 6": behind the words of the difference; nothing where it makes no
 * path louder or softer. */
void effect_says(struct text *text, const struct offsets *offsets, enum param_id id, int row,
                 int column);

#endif
