/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

void
unit_near(double actual, double expected, double tolerance, const char *what, const char *file,
          int line)
{
    if (actual == expected || fabs(actual - expected) <= tolerance)
        return;
    print_error("%s is %.12g, expected %.12g within %g\n", what, actual, expected, tolerance);
    _fail(file, line);
}

void
unit_row(const char *what, long actual, long expected, const char *file, int line)
{
    if (actual == expected)
        return;
    print_error("%s: %ld, expected %ld\n", what, actual, expected);
    _fail(file, line);
}

void
unit_contains(const char *text, const char *part, const char *file, int line)
{
    if (strstr(text, part))
        return;
    print_error("\"%s\" does not contain \"%s\"\n", text, part);
    _fail(file, line);
}

struct dice
dice_new(void)
{
    const char *given = getenv("GW_SEED");
    struct timespec now;
    uint64_t seed;

    clock_gettime(CLOCK_REALTIME, &now);
    seed = given ? strtoull(given, NULL, 10)
                 : (uint64_t)now.tv_sec * 1000000000U + (uint64_t)now.tv_nsec;
    printf("GW_SEED=%" PRIu64 "\n", seed);
    fflush(stdout); /* a sanitizer's abort would lose it */
    return (struct dice){seed};
}

uint64_t
dice_next(struct dice *dice)
{
    uint64_t z = dice->state += 0x9e3779b97f4a7c15U;

    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebU;
    return z ^ (z >> 31);
}

int
dice_below(struct dice *dice, int limit)
{
    return (int)(dice_next(dice) % (uint64_t)limit);
}

double
dice_between(struct dice *dice, double least, double most)
{
    return least + (most - least) * ((double)(dice_next(dice) >> 11) / 9007199254740992.0);
}
