/* SPDX-License-Identifier: MIT */
/* What the equalisers of a mix do to it: how many cuts, how deep, what each costs, and how much of
 * it all is just level.
 */
#ifndef GAINWARDEN_RULES_CUTS_H
#define GAINWARDEN_RULES_CUTS_H

#include <stdbool.h>

#include "look/look.h"
#include "sound/band.h"
#include "sound/path.h"

enum { CUTS_PLACES = 5 * BANDS }; /* five in each third-octave band */

/* One cut: a band of the parametric equaliser, or neighbouring bands of the graphic that are pulled
 * down together. Those make one dip, for which one narrow filter would do, so they count once;
 * their centres lie less than an octave apart. */
struct cut {
    int first, bands;      /* its filters in the cascade stand together */
    double low_hz, top_hz; /* the same unless it has several bands; as printed on the equaliser */
    double gain_db;        /* of its deepest band; -HUGE_VAL for a notch */
    double cost_db;        /* what taking it out gives back to speech; after cuts_rank() */
};

struct cuts {
    struct filters filters; /* of the equalisers, without what tunes the loudspeaker */
    struct cut list[FILTERS_MOST];
    int count;                  /* of list[] */
    int bands;                  /* that are cut */
    int at_stop;                /* of them, at the lower end of their travel */
    int boosts_beside;          /* bands raised within an octave of a cut */
    struct control boost;       /* the highest of them */
    double warped[CUTS_PLACES]; /* the frequencies, as filter_biquad_at() takes them */
    double response_db[CUTS_PLACES];
    double loss_db;      /* level lost by programme with the standard speech spectrum */
    double pink_loss_db; /* the same for pink noise */
    double spread_db;    /* what is left of the response when that loss is taken out: weighted
                            deviation */
};

/* Reads the graphic and parametric equalisers of the mix that are in circuit. A band counts as cut
 * from -cut_db down. False when a part is not known, or when the profile counts no bands at all.
 *
 * loss = -10 log10(sum over frequencies of share * 10^(response / 10)), shares from band.h. What it
 * reads: PATH_MIX_EQUALISER_READS. */
bool cuts_of(struct look *look, int mix, double cut_db, struct cuts *cuts);

/* Orders the list by what a cut is worth, least first: its depth is the margin it won; of two as
 * deep the one that costs more speech goes first. */
void cuts_rank(struct cuts *cuts);

/* What taking out the first `count` of the list gives back to speech, dB. */
double cuts_regained_db(const struct cuts *cuts, int count);

/* Frequency of a control as printed on the equaliser. */
double cuts_printed_hz(const struct look *look, const struct control *control);

#endif
