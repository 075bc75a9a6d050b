/* SPDX-License-Identifier: MIT */
/* The highest point of a cascade of filters, or of the two that a path goes through.
 *
 * Looked at are four places in each third-octave band and where each filter resonates, so that no
 * filter is too narrow to be seen; from the highest of them the top is climbed.
 */
#ifndef GAINWARDEN_RULES_LIFT_H
#define GAINWARDEN_RULES_LIFT_H

#include "sound/path.h"

struct lift {
    double db; /* below 0: it lifts nothing anywhere */
    double hz;
};

/* Whether a filter of the cascade goes above 0 dB. Where none does, the cascade does not. */
bool lift_possible(const struct filters *filters);

/* From 20 Hz to 20 kHz, below half the sample rate. `other` may be NULL; both run at one rate. */
struct lift lift_of(const struct filters *filters, const struct filters *other);

#endif
