/* SPDX-License-Identifier: MIT */
/* The parts of the check protection-lost that are not about one control: ring cuts, and its worked
 * example. */
#ifndef GAINWARDEN_RULES_PROTECTION_LOST_H
#define GAINWARDEN_RULES_PROTECTION_LOST_H

#include "look/look.h"

/* What one thing was when the desk was taken for set up, and is; `was` is NAN where none is lost.
 */
struct lost {
    double was, now;
};

/* How many cuts of the mix's equalisers, at least cut_db deep, were given back by as much. *deepest
 * takes the deepest of them. */
int protection_cuts_lost(struct look *look, int mix, double cut_db, struct lost *deepest);

/* Adds to the anchor what protects now and did not then; whether there was any. */
bool protection_gained(struct desk *anchor, const struct desk *now);

/* For the table row. */
void protection_lost_work(struct text *text, const struct verdict *verdict);

#endif
