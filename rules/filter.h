/* Magnitude responses of the filters a desk has, in dB. */
#ifndef GAINWARDEN_RULES_FILTER_H
#define GAINWARDEN_RULES_FILTER_H

#include "param.h"

/* Loss (0 or more) in dB of a Butterworth high-pass of `order` with its -3 dB corner at corner_hz,
 * at freq_hz: 10 log10(1 + (corner / freq)^(2 order)). */
double filter_high_pass_loss_db(int order, double corner_hz, double freq_hz);

/* Order of a filter from its slope: 6.02 dB per octave and order, never below 1. */
int filter_order(double db_per_octave);

/* Q whose half-gain width is `octaves` wide before the bilinear transform bends it:
 * 1 / (2 sinh(ln 2 / 2 octaves)), R. Bristow-Johnson, Audio EQ Cookbook. */
double filter_q_of_octaves(double octaves);

struct biquad {
    double b0, b1, b2, a1, a2; /* a0 is 1 */
};

/* The cookbook's digital filter at sample rate rate_hz; gain_db is read by peak and shelves only.
 * freq_hz is held below the Nyquist frequency. */
struct biquad filter_biquad(enum shape shape, double freq_hz, double gain_db, double q,
                            double rate_hz);

/* 20 log10 |H| at freq_hz. */
double filter_biquad_db(const struct biquad *biquad, double freq_hz, double rate_hz);

#endif
