/* SPDX-License-Identifier: MIT */
/* What the filters of one input or mix do to its paths, worked out once for all of them.
 *
 * Two desks are compared at twelve places an octave from 60 Hz to 16 kHz, at the centre of every
 * band of either, and, of a band narrower than Q 6, at its half-width points: no ring cut falls
 * between two places.
 */
#ifndef GAINWARDEN_RULES_TONE_H
#define GAINWARDEN_RULES_TONE_H

#include "sound/path.h"

enum { TONE_PLACES = 98 };

/* The frequency of a place. */
double tone_place_hz(int place);

struct tone {
    bool known; /* else the rest is empty */
    int count, points;
    struct biquad *biquads; /* owned */
    double *hz;             /* owned: centres and half-width points */
    int order;              /* of the high-pass; 0: none */
    double corner_hz, rate_hz;
    double eq_db[TONE_PLACES], pass_db[TONE_PLACES]; /* equalisers, and the high-pass */
};

/* Reads it anew; what it had is freed. A tone begins as {0}. Whether it is known now and was not, or
 * the other way about. */
bool tone_of_input(struct tone *tone, const struct desk *desk, int input);
bool tone_of_mix(struct tone *tone, const struct desk *desk, int mix);
void tone_release(struct tone *tone);

/* Both in dB at any frequency. */
double tone_eq_db(const struct tone *tone, double hz);
double tone_db(const struct tone *tone, double hz);

/* The same filters, so that they differ nowhere. */
bool tone_same(const struct tone *one, const struct tone *other);

#define TONE_INPUT_READS PATH_INPUT_FILTER_READS
#define TONE_MIX_READS PATH_MIX_FILTER_READS

#endif
