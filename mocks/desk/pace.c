/* SPDX-License-Identifier: MIT */
#include "pace.h"

#include <math.h>

/* A desk that was stopped for long does not work it all off at once. */
static const int64_t CATCH_UP_NS = 1000000000;

void
pace_rest(struct pace *pace)
{
    pace->at_work = false;
}

void
pace_spend(struct pace *pace, double per_second, int64_t now_us)
{
    int64_t now_ns = now_us * 1000;
    int64_t earliest = pace->at_work ? now_ns - CATCH_UP_NS : now_ns;

    if (per_second <= 0)
        return;
    if (pace->free_at_ns < earliest)
        pace->free_at_ns = earliest;
    pace->free_at_ns += llround(1e9 / per_second);
    pace->at_work = true;
}

int64_t
pace_busy_us(const struct pace *pace, double per_second, int64_t now_us)
{
    int64_t busy_ns = pace->free_at_ns - now_us * 1000;

    return per_second > 0 && busy_ns > 0 ? (busy_ns + 999) / 1000 : 0;
}
