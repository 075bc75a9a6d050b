/* SPDX-License-Identifier: MIT */
/* Whether a level leapt upwards and stands there, for other checks, which leave it to value-jumped to
 * tell what such a leap did, and for whoever puts it back. */
#ifndef GAINWARDEN_RULES_VALUE_JUMPED_H
#define GAINWARDEN_RULES_VALUE_JUMPED_H

#include "change/moves.h"
#include "core/sure.h"
#include "look/look.h"

/* A leap of this value that value-jumped counts, and that was not taken back. No where nothing
 * remembers leaps, and where that check is off. */
enum sure value_jumped_stands(const struct look *look, enum param_id id, int row);

/* Whether value-jumped tells the leap, with the settings of the show: it counts, into something
 * open, and nobody took it back or had made up for it. */
bool value_jumped_is_slip(const struct ground *ground, const struct jump *jump);

enum { LEAPS_SHOWN = 3 };

/* Leaps as value-jumped tells them, and how much each would weigh. */
struct leaps {
    enum weight from; /* wanted: of at least this weight, */
    bool high;        /* and those alone that end high, as below */
    size_t count;     /* values that leapt up, */
    size_t stops;     /* and those among them of weight stop */
    struct leap {
        struct jump jump;
        double db;
        enum weight weight;
    } largest[LEAPS_SHOWN]; /* first, as many as there are; of the same size the heaviest */
};

/* What leapt up between another desk and this one. */
void value_jumped_between(const struct ground *ground, const struct desk *before,
                          struct leaps *leaps);

/* Whether a leap of the object that value-jumped tells ends above what was approved, or above 0 dB
 * where nothing was: while lines are checked, what rises to its place is work. */
bool value_jumped_ends_high(const struct ground *ground, struct object object);

/* Whether the leaps of the object that value-jumped tells are open into these mixes alone, a flag
 * each, which all feed loudspeakers. What is not known may be open, and may be ears. */
bool value_jumped_stays_in(const struct ground *ground, struct object object, const bool *mixes);

#endif
