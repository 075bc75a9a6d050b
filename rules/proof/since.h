/* SPDX-License-Identifier: MIT */
/* Which parts of a path rose since the ring-out. */
#ifndef GAINWARDEN_RULES_SINCE_H
#define GAINWARDEN_RULES_SINCE_H

#include "core/text.h"

struct desk;
struct tone;

enum { SINCE_MOST = 3 }; /* more are seldom, and then left out */

/* Those that rose the most, the largest first. */
struct since {
    int count; /* 0: nothing rose, or it is not known */
    struct since_part {
        int part;
        double db;
    } of[SINCE_MOST];
};

/* One of the two desks, and its filters around the path. */
struct since_end {
    const struct desk *desk;
    const struct tone *input, *mix;
};

/* Filters count at that frequency, and nowhere where it is NAN. */
struct since since_of(const struct since_end *left, const struct since_end *now, int input, int mix,
                      double hz);

/* What it is called: "send", "trim". */
const char *since_part(int part);

/* ", since its send rose by 2 dB and its trim by 1.5 dB"; nothing where nothing did. */
void since_says(struct text *text, const struct since *since);

#endif
