/* SPDX-License-Identifier: MIT */
#include "history.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

bool
history_init(struct history *history, size_t length)
{
    *history = (struct history){.length = (length + BLOCK - 1) / BLOCK * BLOCK};
    history->samples = calloc(history->length, sizeof *history->samples);
    return history->samples != NULL;
}

void
history_release(struct history *history)
{
    free(history->samples);
}

void
history_forget(struct history *history)
{
    memset(history->samples, 0, history->length * sizeof *history->samples);
}

void
history_add(struct history *history, const double block[BLOCK])
{
    for (size_t i = 0; i < BLOCK; i++)
        history->samples[history->at + i] = (float)block[i];
    history->at = (history->at + BLOCK) % history->length;
}

void
history_last(const struct history *history, size_t count, float *out)
{
    size_t from = (history->at + history->length - count) % history->length;
    size_t first = history->length - from < count ? history->length - from : count;

    assert(count <= history->length);
    memcpy(out, history->samples + from, first * sizeof *out);
    memcpy(out + first, history->samples, (count - first) * sizeof *out);
}
