/* SPDX-License-Identifier: MIT */
/* Where a figure of struct loops stands in its arrays. */
#ifndef GAINWARDEN_RULES_LOOPS_AT_H
#define GAINWARDEN_RULES_LOOPS_AT_H

#include "stage/loops.h"

static inline size_t
loops_air_at(const struct loops *loops, int band, int microphone, int mix)
{
    return ((size_t)band * (size_t)loops->stage->microphone_count + (size_t)microphone) *
               (size_t)loops->mix_count +
           (size_t)mix;
}

static inline size_t
loops_desk_at(const struct loops *loops, int band, int mix, int microphone)
{
    return ((size_t)band * (size_t)loops->mix_count + (size_t)mix) *
               (size_t)loops->stage->microphone_count +
           (size_t)microphone;
}

#endif
