/* SPDX-License-Identifier: MIT */
/* What the equalisers of a mix do to it: how many cuts, how deep, what each costs, and how much of
 * it all is just level.
 */
#ifndef GAINWARDEN_RULES_CUTS_H
#define GAINWARDEN_RULES_CUTS_H

#include <stdbool.h>

#include "look/look.h"
#include "sound/loss.h"
#include "sound/path.h"

/* One cut: what lies in one place, whichever equaliser it is of. Neighbouring bands of the graphic
 * that are pulled down together make one dip, for which one narrow filter would do; their centres
 * lie less than an octave apart. Any other band is part of a cut whose centre lies inside the same
 * half-gain width, but never more than a sixth of an octave away, half a third-octave band. */
struct cut {
    int part;              /* its filters are those of this part */
    int bands;             /* so many */
    bool stacked;          /* some of them in one place */
    double low_hz, top_hz; /* the same unless its bands differ; as printed on the equaliser */
    double gain_db;        /* where it is deepest, all bands in that place; -HUGE_VAL: a notch */
    double cost_db;        /* what taking it out gives back to speech */
};

struct cuts {
    struct filters filters; /* of the equalisers, without what tunes the loudspeaker */
    int part[FILTERS_MOST]; /* to which cut each filter belongs; -1: to none */
    struct cut list[FILTERS_MOST];
    int count;            /* of list[] */
    int bands;            /* that are cut */
    int at_stop;          /* of them, at the lower end of their travel */
    int boosts_beside;    /* bands raised within an octave of a cut */
    struct control boost; /* the highest of them */
    int broad;            /* shelves and pass filters in circuit, which are no cuts */
    struct loss loss;
};

/* Reads the graphic and parametric equalisers of the mix that are in circuit. A band counts as cut
 * from -cut_db down. False when a part is not known, or when the profile counts no bands at all.
 * What it reads: PATH_MIX_EQUALISER_READS. */
bool cuts_of(struct look *look, int mix, double cut_db, struct cuts *cuts);

/* The same without what they cost: `loss`, and `cost_db` of each, are left as they were. */
bool cuts_list(struct look *look, int mix, double cut_db, struct cuts *cuts);

/* Orders the list by what a cut is worth, least first: its depth is the margin it won; of two as
 * deep the one that costs more speech goes first. */
void cuts_rank(struct cuts *cuts);

/* What taking out the first `count` of the list gives back to speech, dB. */
double cuts_regained_db(const struct cuts *cuts, int count);

/* Whether the filter is a shelf or a pass filter. */
bool cuts_is_broad(const struct control *control);

/* Frequency of a control as printed on the equaliser. */
double cuts_printed_hz(const struct look *look, const struct control *control);

#endif
