/* SPDX-License-Identifier: MIT */
/* What a move downwards may cost a proof. The bound rests on magnitudes: a path that goes down can
 * only help those, but in the room it may have cancelled another, which then stands alone. Each
 * kind of such move has an allowance, taken off the figure and printed with it. Upward moves have
 * none: nothing is taken away.
 */
#ifndef GAINWARDEN_RULES_ALLOWANCE_H
#define GAINWARDEN_RULES_ALLOWANCE_H

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

/* Which kinds of move there are, a bit each, and of each kind the first: a path, or the filters of
 * one of its strips, where the other is -1. */
struct movers {
    unsigned kinds;
    struct mover {
        int input, mix;
    } of[ALLOWANCES];
};

void movers_add(struct movers *movers, enum allowance kind, int input, int mix);
void movers_join(struct movers *movers, const struct movers *others);

/* Of all kinds in the set; ALLOWANCE_MOST_DB at most. */
double allowance_db(unsigned kinds);

#endif
