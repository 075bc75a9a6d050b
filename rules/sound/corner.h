/* SPDX-License-Identifier: MIT */
/* The high-pass of one input, its filter or a band of its equaliser, beside the lowest note it has
 * to let through, for pictures. */
#ifndef GAINWARDEN_RULES_CORNER_H
#define GAINWARDEN_RULES_CORNER_H

#include <stdbool.h>

#include "desk/desk.h"
#include "desk/show.h"
#include "desk/source.h"

struct corner {
    bool known, on; /* known: whether it is on, and when it is, its corner and slope */
    double hz;      /* 0 when it is off */
    int order;
    const struct source *source; /* NULL when neither show file nor label tells */
    double lowest_hz;            /* of player or source; 0 when not known */
    double loss_db; /* at the lowest note, filter_high_pass_loss_db(); 0 when that is not known */
};

void corner_of(const struct desk *desk, const struct show *show, int input, struct corner *corner);

#endif
