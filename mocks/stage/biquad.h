/* SPDX-License-Identifier: MIT */
/*
 * Second-order sections at 48 kHz, in transposed direct form II. Coefficients: R. Bristow-Johnson,
 * Audio EQ Cookbook. A Butterworth high-pass of any order up to 8 is a row of sections.
 */
#ifndef MOCK_BIQUAD_H
#define MOCK_BIQUAD_H

#include <stddef.h>

#define SAMPLE_RATE 48000.0

/* In the order of the words of the desk's bands. */
enum biquad_shape {
    BIQUAD_PEAK,
    BIQUAD_LOW_SHELF,
    BIQUAD_HIGH_SHELF,
    BIQUAD_LOW_PASS,
    BIQUAD_HIGH_PASS,
    BIQUAD_NOTCH,
};

struct biquad {
    double b0, b1, b2, a1, a2; /* all 0 but b0 = 1: passes everything */
    double z1, z2;
};

/* Each keeps what the section remembers. */
void biquad_pass(struct biquad *biquad);
void biquad_shape(struct biquad *biquad, enum biquad_shape shape, double hz, double db, double q);

/*
 * Sections 0 to BUTTERWORTH - 1 of a high-pass (or low-pass) of that order; the sections beyond it
 * pass everything.
 */
enum { BUTTERWORTH = 4 };
void biquads_high_pass(struct biquad biquads[BUTTERWORTH], unsigned order, double hz);
void biquad_low_pass_two(struct biquad *biquad, double hz);

/*
 * Q of the cookbook's peak with this width in octaves (BW form, which minds the bilinear
 * transform).
 */
double biquad_q_of_octaves(double octaves, double hz);

void biquad_run(struct biquad *biquad, double *samples, size_t count);
void biquad_forget(struct biquad *biquad);

#endif
