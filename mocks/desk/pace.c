#include "pace.h"

#include <math.h>

/* A late wake-up may be made good by as much, so that the mean rate holds. */
static const int64_t CATCH_UP_US = 5000;

void
Pace_spend(struct Pace *pace, double per_second, int64_t now_us)
{
    if (per_second <= 0)
        return;
    if (pace->free_at_us < now_us - CATCH_UP_US)
        pace->free_at_us = now_us - CATCH_UP_US;
    pace->free_at_us += llround(1e6 / per_second);
}

int64_t
Pace_busy_us(const struct Pace *pace, double per_second, int64_t now_us)
{
    if (per_second <= 0 || pace->free_at_us <= now_us)
        return 0;
    return pace->free_at_us - now_us;
}
