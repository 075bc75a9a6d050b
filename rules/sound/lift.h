/* SPDX-License-Identifier: MIT */
/* The highest point of a cascade of filters, or of the two that a path goes through.
 *
 * Looked at are four places in each third-octave band and where each filter resonates, so that no
 * filter is too narrow to be seen; from the highest of them the top is climbed. A curve is the
 * cascade at the places, worked out once for all the paths that it is part of.
 */
#ifndef GAINWARDEN_RULES_LIFT_H
#define GAINWARDEN_RULES_LIFT_H

#include "sound/band.h"
#include "sound/path.h"

enum { LIFT_PLACES = 4 * BANDS };

/* From 20 Hz to 20 kHz, below half the sample rate. */
struct lift_places {
    int count;
    double hz[LIFT_PLACES], warped[LIFT_PLACES];
    double rate_hz, most_hz;
};

struct lift_curve {
    const struct filters *filters;
    double power[LIFT_PLACES]; /* |H|^2 */
};

struct lift {
    double db; /* at most 0: it lifts nothing anywhere */
    double hz;
};

/* No response of the cascade is above this anywhere, in dB: what its filters would lift if all
 * stood in one place. 0: none lifts. */
double lift_bound_db(const struct filters *filters);

void lift_places_at(double rate_hz, struct lift_places *places);
void lift_curve_of(const struct lift_places *places, const struct filters *filters,
                   struct lift_curve *curve);

/* Of one curve, or of both together; `other` may be NULL. */
struct lift lift_of(const struct lift_places *places, const struct lift_curve *one,
                    const struct lift_curve *other);

#endif
