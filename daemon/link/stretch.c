/* SPDX-License-Identifier: MIT */
#include "link/stretch.h"

#include <math.h>

void
stretch_begin(struct stretch *stretch, int64_t now_us)
{
    *stretch = (struct stretch){.begun_us = now_us};
}

static void
close_stretch(struct stretch *stretch, int64_t now_us)
{
    double seconds = (double)(now_us - stretch->begun_us) / 1e6;

    stretch->fastest = fmax(stretch->fastest, stretch->sent / fmax(seconds, 1e-6));
    stretch->begun_us = now_us;
    stretch->sent = 0;
}

void
stretch_sent(struct stretch *stretch, int64_t now_us)
{
    if (++stretch->sent == STRETCH)
        close_stretch(stretch, now_us);
}

void
stretch_end(struct stretch *stretch, int64_t now_us)
{
    if (stretch->fastest == 0 && stretch->sent > 0)
        close_stretch(stretch, now_us);
}
