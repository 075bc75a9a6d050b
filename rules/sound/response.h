/* SPDX-License-Identifier: MIT */
/* What the equalisers and the high-pass of a mix do to it over frequency, for pictures. */
#ifndef GAINWARDEN_RULES_RESPONSE_H
#define GAINWARDEN_RULES_RESPONSE_H

#include <stdbool.h>

#include "sound/cuts.h"

/* A grid of 121 points, twelve an octave, from 20 Hz to 20 kHz, and the centre of every filter, so
 * that no narrow cut falls between two points. */
enum { RESPONSE_GRID = 121, RESPONSE_MOST = RESPONSE_GRID + FILTERS_MOST };

struct response {
    bool known;
    int count;
    double hz[RESPONSE_MOST], db[RESPONSE_MOST]; /* rising in frequency */
    bool has_cuts;                               /* `cuts` is known */
    struct cuts cuts;
};

/* A band counts as cut from -cut_db down. */
void response_of(const struct desk *desk, const struct show *show, int mix, double cut_db,
                 struct response *response);

#endif
