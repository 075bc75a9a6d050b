/* SPDX-License-Identifier: MIT */
/* Power over frequency of the last 8192 samples (171 ms), behind a Hann window: bins of 5.86 Hz. */
#ifndef MOCK_SPECTRUM_H
#define MOCK_SPECTRUM_H

#include <stddef.h>

enum {
    SPECTRUM_SIZE = 8192,
    SPECTRUM_BINS = SPECTRUM_SIZE / 2,
    SPECTRUM_THIRDS = 31,
    SPECTRUM_FINE = 100,
};

#define SPECTRUM_BIN_HZ (48000.0 / SPECTRUM_SIZE)

/* Mean squares that add up to the signal's; bin k lies at k SPECTRUM_BIN_HZ. */
void spectrum_power(const float samples[SPECTRUM_SIZE], double power[SPECTRUM_BINS]);

/*
 * Adds up the bins of each band, those at an edge by their share: 31 thirds from 20 Hz to 20 kHz
 * (base ten), or 100 bands, a hundredth of three decades each, from 20 Hz up.
 */
void spectrum_bands(const double power[SPECTRUM_BINS], size_t bands, double *out);

/*
 * Frequency of the peak around bin k, 1 <= k < SPECTRUM_BINS - 1: the top of the parabola through
 * three levels in dB.
 */
double spectrum_peak_hz(const double power[SPECTRUM_BINS], size_t k);

#endif
