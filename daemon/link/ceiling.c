/* SPDX-License-Identifier: MIT */
#include "link/ceiling.h"

#include <math.h>

static const double refill_share = 0.99;

static double
left_most(const struct ceiling *ceiling)
{
    return fmax(1, ceiling->per_second / 100);
}

void
ceiling_init(struct ceiling *ceiling, double per_second, int64_t now_us)
{
    *ceiling = (struct ceiling){.per_second = per_second, .at_us = now_us};
    ceiling->left = left_most(ceiling);
}

int64_t
ceiling_wait_us(struct ceiling *ceiling, int64_t now_us)
{
    double pace = refill_share * ceiling->per_second;
    double seconds = (double)(now_us - ceiling->at_us) / 1e6;

    ceiling->left = fmin(ceiling->left + seconds * pace, left_most(ceiling));
    ceiling->at_us = now_us;
    return ceiling->left >= 1 ? 0 : (int64_t)ceil(fmin((1 - ceiling->left) / pace * 1e6, 1e12));
}

void
ceiling_sent(struct ceiling *ceiling, int64_t now_us)
{
    ceiling->left--;
    ceiling->at_us = now_us;
}
