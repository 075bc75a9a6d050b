/* SPDX-License-Identifier: MIT */
/* What a move downwards may cost a proof. The bound rests on magnitudes: a path that goes down can
 * only help those, but in the room it may have cancelled another, which then stands alone. Each
 * kind of such move has an allowance, taken off the figure and printed with it. Upward moves have
 * none: nothing is taken away.
 */
#ifndef GAINWARDEN_RULES_ALLOWANCE_H
#define GAINWARDEN_RULES_ALLOWANCE_H

#include "core/text.h"

enum allowance {
    ALLOWANCE_CUT,       /* an equaliser takes more away somewhere */
    ALLOWANCE_HIGH_PASS, /* a high-pass does */
    ALLOWANCE_DOWN,      /* a path is lower against the others by 3 dB at most */
    ALLOWANCE_CLOSED,    /* by more, or closed */
    ALLOWANCES
};

#define ALLOWANCE_MOST_DB 6.0
#define ALLOWANCE_DOWN_DB 3.0

/* "cut", "high-pass", "down", "closed": as JSON has them. */
const char *allowance_name(enum allowance kind);

/* Of all kinds in the set, a bit each; ALLOWANCE_MOST_DB at most. */
double allowance_db(unsigned kinds);

/* "a cut, something closed". */
void allowance_says(struct text *text, unsigned kinds);

#endif
