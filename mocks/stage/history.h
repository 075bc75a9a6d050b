/* SPDX-License-Identifier: MIT */
/* The last samples of a signal. */
#ifndef MOCK_HISTORY_H
#define MOCK_HISTORY_H

#include <stdbool.h>
#include <stddef.h>

#include "delay.h"

struct history {
    float *samples;
    size_t length; /* a multiple of BLOCK */
    size_t at;
};

/* False when memory is out. */
bool history_init(struct history *history, size_t length);
void history_release(struct history *history);
void history_forget(struct history *history);
void history_add(struct history *history, const double block[BLOCK]);

/* The last `count` of them, at most the length, the newest last. */
void history_last(const struct history *history, size_t count, float *out);

#endif
