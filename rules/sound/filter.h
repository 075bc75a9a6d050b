/* SPDX-License-Identifier: MIT */
/* Magnitude responses of the filters a desk has, in dB. */
#ifndef GAINWARDEN_RULES_FILTER_H
#define GAINWARDEN_RULES_FILTER_H

#include "desk/param.h"

/* Loss (0 or more) in dB of a Butterworth high-pass of `order` with its -3 dB corner at corner_hz,
 * at freq_hz: 10 log10(1 + (corner / freq)^(2 order)). */
double filter_high_pass_loss_db(int order, double corner_hz, double freq_hz);

/* The same filter in a desk: response (0 or less) in dB after the bilinear transform with the
 * corner kept in place, -10 log10(1 + (tan(pi corner / rate) / tan(pi freq / rate))^(2 order)). */
double filter_high_pass_db(int order, double corner_hz, double freq_hz, double rate_hz);

/* The same as |H|^2, ratio being the quotient of the tangents. */
double filter_high_pass_power(int order, double ratio);

/* Order of a filter from its slope: 6.02 dB per octave and order, never below 1. */
int filter_order(double db_per_octave);

/* Q whose half-gain width is `octaves` wide at centre_hz in the digital filter, R. Bristow-Johnson,
 * Audio EQ Cookbook (BW form): 1 / (2 sinh(ln 2 / 2 octaves w0 / sin w0)). */
double filter_q_of_octaves_at(double octaves, double centre_hz, double rate_hz);

/* Width in octaves between the half-gain points (of a notch: the -3 dB points) of a filter of that Q
 * well below the Nyquist frequency, the same formula turned round. */
double filter_octaves_of_q(double q);

/* A second-order section of R. Bristow-Johnson's Audio EQ Cookbook as its analogue prototype
 * (n0 + n1 s + n2 s^2) / (d0 + d1 s + d2 s^2), s normalised to the filter's frequency. The digital
 * filter of a desk is its bilinear transform with that frequency kept in place, so its response at
 * f is the prototype's at s = j tan(pi f / rate) / tan(pi f0 / rate): the same numbers as from the
 * digital coefficients, without their rounding at low frequencies and in a notch. */
struct biquad {
    double n0, n1, n2, d0, d1, d2;
    double warp; /* tan(pi f0 / rate) */
};

/* gain_db is read by peak and shelves only. freq_hz is held below the Nyquist frequency. */
struct biquad filter_biquad(enum shape shape, double freq_hz, double gain_db, double q,
                            double rate_hz);

/* The same filter, so that the two differ nowhere. */
bool filter_same(const struct biquad *one, const struct biquad *other);

/* |H|^2 at f, given as filter_warp(f), and the same in dB. */
double filter_biquad_power(const struct biquad *biquad, double warped);
double filter_biquad_at(const struct biquad *biquad, double warped);

/* The highest |H|^2 at any frequency. */
double filter_peak_power(const struct biquad *biquad);

/* tan(pi f / rate), f held below the Nyquist frequency. */
double filter_warp(double freq_hz, double rate_hz);

/* The frequency that is so warped. */
double filter_unwarp(double warped, double rate_hz);

#endif
