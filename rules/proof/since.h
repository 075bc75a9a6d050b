/* SPDX-License-Identifier: MIT */
/* Which part of a path rose since the ring-out. */
#ifndef GAINWARDEN_RULES_SINCE_H
#define GAINWARDEN_RULES_SINCE_H

#include "desk/desk.h"

struct since {
    int part; /* for since_part(); 0: nothing rose, or it is not known */
    double db;
};

/* "send", "master", ... */
const char *since_part(int part);

/* The part that rose the most between the two desks; filters count at that frequency, and nowhere
 * where it is NAN. */
struct since since_of(const struct desk *left, const struct desk *now, int input, int mix,
                      double hz);

#endif
