/* SPDX-License-Identifier: MIT */
/* Where the bands of a published spectrum stand, and its thirds of an octave. A desk has 31 thirds, or
 * finer bands that stand evenly on a scale of octaves; whatever it has, thirds are what is judged,
 * and the fine bands only say where in a third.
 */
#ifndef GAINWARDEN_RULES_BANDS_H
#define GAINWARDEN_RULES_BANDS_H

#include <stdbool.h>

enum { SPECTRUM_BANDS = 128, SPECTRUM_THIRDS = 31 };

struct spectrum_bands {
    int count;
    double lowest_hz, highest_hz; /* centres of the first and the last band */
};

/* Thirds from 20 Hz, as many as fit; false where so many bands are no thirds. */
bool spectrum_bands_of_thirds(int count, struct spectrum_bands *bands);

/* The centre of a band; `band` may lie between two. */
double spectrum_hz(const struct spectrum_bands *bands, double band);

/* From one band to the next, in octaves. */
double spectrum_step_octaves(const struct spectrum_bands *bands);

/* Whether a third of an octave can be made of them: they are no wider, by a hundredth. */
bool spectrum_is_fine(const struct spectrum_bands *bands);

/* The third that a band belongs to, 0 for 20 Hz, or -1. */
int spectrum_third(const struct spectrum_bands *bands, int band);

#endif
