/* What the equalisers of a mix do to it: how many cuts, how deep, and how much of it is just level.
 */
#ifndef GAINWARDEN_RULES_CUTS_H
#define GAINWARDEN_RULES_CUTS_H

#include <stdbool.h>

#include "look.h"

enum { CUTS_MOST = 64 };

struct cut {
    double freq_hz, gain_db;
    double named_hz; /* as printed on the equaliser */
    int band;        /* of its equaliser */
    bool at_stop;    /* at the lower end of its travel */
};

struct cuts {
    int count; /* bands cut; the first CUTS_MOST of them are in list[] */
    int at_stop;
    struct cut list[CUTS_MOST];
    double loss_db;      /* level lost by programme with the standard speech spectrum */
    double pink_loss_db; /* the same for pink noise */
    double spread_db;    /* what is left of the response when that loss is taken out: weighted
                            deviation */
};

/* Reads the graphic and parametric equalisers of the mix that are in circuit. A band counts as a
 * cut from -cut_db down. False when a part is not known, or when the profile counts no bands at
 * all.
 *
 * loss = -10 log10(sum over frequencies of share * 10^(response / 10)), shares from band.h, the
 * response at five places in each third-octave band. What it reads: PATH_MIX_EQUALISER_READS. */
bool cuts_of(struct look *look, int mix, double cut_db, struct cuts *cuts);

#endif
