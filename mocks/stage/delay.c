/* SPDX-License-Identifier: MIT */
#include "delay.h"

#include <stdlib.h>
#include <string.h>

bool
delay_init(struct delay *delay, size_t longest)
{
    *delay = (struct delay){.length = (longest / BLOCK + 2) * BLOCK};
    delay->samples = calloc(2 * delay->length, sizeof *delay->samples);
    return delay->samples != NULL;
}

void
delay_release(struct delay *delay)
{
    free(delay->samples);
}

void
delay_write(struct delay *delay, const double block[BLOCK])
{
    memcpy(delay->samples + delay->at, block, BLOCK * sizeof *block);
    memcpy(delay->samples + delay->at + delay->length, block, BLOCK * sizeof *block);
}

void
delay_next(struct delay *delay)
{
    delay->at = (delay->at + BLOCK) % delay->length;
}

const double *
delay_read(const struct delay *delay, size_t samples)
{
    return delay->samples + delay->at + delay->length - samples;
}

void
delay_scale(struct delay *delay, double factor)
{
    for (size_t i = 0; i < 2 * delay->length; i++)
        delay->samples[i] *= factor;
}
