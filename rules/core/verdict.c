/* SPDX-License-Identifier: MIT */
#include "core/verdict.h"

#include <math.h>
#include <string.h>

#include "core/text.h"

static const char *const names[WEIGHTS] = {"note", "fix", "stop"};

double
verdict_figure(const struct verdict *verdict, const char *name)
{
    for (int i = 0; i < verdict->figure_count; i++)
        if (strcmp(verdict->figures[i].name, name) == 0)
            return verdict->figures[i].number;
    return NAN;
}

const char *
weight_name(enum weight weight)
{
    return names[weight];
}

enum weight
weight_up(enum weight weight)
{
    return weight < WEIGHT_FIX ? weight + 1 : weight;
}

enum weight
weight_find(const char *name)
{
    int i = 0;

    while (i < WEIGHTS && strcmp(names[i], name) != 0)
        i++;
    return (enum weight)i;
}

const char *
weight_counts(const size_t counts[WEIGHTS], char says[WEIGHT_COUNTS_SIZE])
{
    struct text text;

    text_init(&text, says, WEIGHT_COUNTS_SIZE);
    text_add(&text, "%zu stop, %zu fix, %zu note", counts[WEIGHT_STOP], counts[WEIGHT_FIX],
             counts[WEIGHT_NOTE]);
    return says;
}
