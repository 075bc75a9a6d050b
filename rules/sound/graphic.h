/* SPDX-License-Identifier: MIT */
/* Where the bands of a mix's graphic equaliser stand, and how wide each is. No desk publishes the
 * width: the profile tells it, else a band counts as wide as the bands stand apart. Whoever prints
 * a figure that rests on it prints the width too.
 */
#ifndef GAINWARDEN_RULES_GRAPHIC_H
#define GAINWARDEN_RULES_GRAPHIC_H

#include "look/look.h"

struct graphic_band {
    double hz;      /* as published, else the standard centre for so many bands */
    double octaves; /* between the half-gain points */
};

/* False when centre or width is not known. */
bool graphic_band(struct look *look, int mix, int band, struct graphic_band *at);

/* "1/3 octave", "1/2 to 1.5 octaves": the widths from the least to the most. */
void graphic_add_octaves(struct text *text, double least, double most);

#endif
