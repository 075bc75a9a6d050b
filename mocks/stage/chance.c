/* SPDX-License-Identifier: MIT */
#include "chance.h"

double
chance_between(struct chance *chance, double low, double high)
{
    uint64_t z = chance->state += 0x9E3779B97F4A7C15u;

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    z ^= z >> 31;
    return low + (high - low) * ((double)(z >> 11) * 0x1p-53);
}
