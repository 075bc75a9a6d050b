/* SPDX-License-Identifier: MIT */
/* What a cascade of filters does to the level of programme.
 *
 *   loss = -10 log10(sum of share x 10^(response / 10))
 *   spread = sqrt(sum of share x (response + loss)^2)
 *
 * over all frequencies, the shares of speech or pink noise (band.h) spread evenly over each
 * third-octave band. The sums are integrals by Gauss's rule with two places in each band; a band is
 * halved, again and again, while a pole or zero lies closer than the piece is wide, so that no
 * filter is too narrow to be seen.
 */
#ifndef GAINWARDEN_RULES_LOSS_H
#define GAINWARDEN_RULES_LOSS_H

#include "sound/path.h"

struct loss {
    double speech_db, pink_db;    /* level lost; below 0: gained */
    double spread_db;             /* of the response for speech around that loss */
    double back_db[FILTERS_MOST]; /* what speech gets back without the filters of each part */
};

/* Biquads alone count, not the high-pass. Filter i belongs to part[i], below `parts`; to none when
 * that is -1. */
void loss_of(const struct filters *filters, const int part[FILTERS_MOST], int parts,
             struct loss *loss);

#endif
