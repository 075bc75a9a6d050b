/* SPDX-License-Identifier: MIT */
/* Random numbers that a seed repeats: SplitMix64 (Steele, Lea and Flood 2014). */
#ifndef MOCK_CHANCE_H
#define MOCK_CHANCE_H

#include <stdint.h>

struct chance {
    uint64_t state;
};

/* Uniform from `low` up to `high`. */
double chance_between(struct chance *chance, double low, double high);

#endif
