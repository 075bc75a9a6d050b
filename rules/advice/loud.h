/* SPDX-License-Identifier: MIT */
/* How loud the paths of a desk are beside those of another. */
#ifndef GAINWARDEN_RULES_LOUD_H
#define GAINWARDEN_RULES_LOUD_H

#include "core/verdict.h"
#include "desk/desk.h"
#include "desk/show.h"

/* By how many dB the path through the object that rises most ends louder on `after`, at any
 * third-octave centre; 0: none does. Through the desk itself, which has the groups, go all. HUGE_VAL: one opens that was off. What is not known on either
 * desk is left out. */
double loud_rise_db(const struct desk *before, const struct desk *after, const struct show *show,
                    struct object object);

/* The same without filters: the path gain alone. */
double loud_gain_rise_db(const struct desk *before, const struct desk *after, struct object object);

/* The filters of the object alone: by how many dB some frequency is louder on `between` than on
 * both others. */
double loud_overshoot_db(const struct desk *before, const struct desk *between,
                         const struct desk *after, const struct show *show, struct object object);

#endif
