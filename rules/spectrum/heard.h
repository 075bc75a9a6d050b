/* SPDX-License-Identifier: MIT */
/* Where a mix that is rung out rang, each third by itself: by the looser setting (rise.h), until when
 * it stood. A hand cuts seconds after the ring was seen, and by then another band may rise: what
 * rang in the band that is cut is what counts.
 */
#ifndef GAINWARDEN_RULES_HEARD_H
#define GAINWARDEN_RULES_HEARD_H

#include "spectrum/rise.h"

struct heard {
    double hz;       /* 0: nothing rang there */
    double level_db; /* of the third, at its highest since */
    int64_t at_ms;   /* when it last stood, */
    int64_t rose_ms; /* and last rose */
};

struct heard_thirds {
    struct heard of[SPECTRUM_THIRDS];
};

/* Behind each frame that `rise` took. */
void heard_take(struct heard_thirds *thirds, const struct rise *rise, int64_t now_ms);

#endif
