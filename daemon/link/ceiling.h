/* SPDX-License-Identifier: MIT */
/* How many messages may leave in a second, whatever they are. A hundredth of a second's worth may
 * leave at once; with that and the rest of the hundred coming over a second, no second ever sees
 * more than per_second. Pure: it is told the time, in microseconds.
 */
#ifndef GAINWARDEN_CEILING_H
#define GAINWARDEN_CEILING_H

#include <stdint.h>

struct ceiling {
    double per_second;
    double left; /* messages that may leave at once */
    int64_t at_us;
};

void ceiling_init(struct ceiling *ceiling, double per_second, int64_t now_us);

/* How long until a message may leave; 0: now. */
int64_t ceiling_wait_us(struct ceiling *ceiling, int64_t now_us);

/* One has left, by now: the time from the look at the clock until then gives nothing back, so that
 * a machine that was busy in between does not let the next ones follow more closely. */
void ceiling_sent(struct ceiling *ceiling, int64_t now_us);

#endif
