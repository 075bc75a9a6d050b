/* SPDX-License-Identifier: MIT */
#include "naming.h"

#include <stdio.h>
#include <string.h>

static const char *const band_names[] = {"low", "low-mid", "high-mid", "high"};

enum { BAND_NAMES = sizeof band_names / sizeof band_names[0], IN_A_ROW = 8, ON_THE_FLOOR = 4 };

static void
write_letters(enum count kind, size_t index, char out[NAME_SIZE])
{
    switch (kind) {
    case COUNT_INPUTS:
        snprintf(out, NAME_SIZE, "%c%zu", (char)('A' + index / IN_A_ROW), index % IN_A_ROW + 1);
        break;
    case COUNT_MIXES:
        if (index < ON_THE_FLOOR)
            snprintf(out, NAME_SIZE, "floor/%zu", index + 1);
        else
            snprintf(out, NAME_SIZE, "ear/%zu", index - ON_THE_FLOOR + 1);
        break;
    case COUNT_GROUPS:
        snprintf(out, NAME_SIZE, "-%zu", index + 1);
        break;
    case COUNT_INPUT_EQ_BANDS:
    case COUNT_MIX_EQ_BANDS:
        snprintf(out, NAME_SIZE, "%s", index < BAND_NAMES ? band_names[index] : "more");
        break;
    case COUNT_GRAPHIC_BANDS:
    case COUNTS:
        snprintf(out, NAME_SIZE, "%zu", index + 1);
    }
}

const char *
naming_write(enum naming naming, enum count kind, size_t index, unsigned first, char out[NAME_SIZE])
{
    if (naming == NAMING_LETTERS)
        write_letters(kind, index, out);
    else
        snprintf(out, NAME_SIZE, "%zu", index + first);
    return out;
}

bool
naming_find(enum naming naming, enum count kind, size_t count, const char *name, size_t *index)
{
    char other[NAME_SIZE];

    for (*index = 0; *index < count; (*index)++)
        if (strcmp(naming_write(naming, kind, *index, 1, other), name) == 0)
            return true;
    return false;
}
