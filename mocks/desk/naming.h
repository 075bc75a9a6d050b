/* SPDX-License-Identifier: MIT */
/* What the desk calls its inputs, mixes, groups and bands where messages name them. */
#ifndef MOCK_NAMING_H
#define MOCK_NAMING_H

#include <stdbool.h>
#include <stddef.h>

#include "fields.h"

enum naming {
    NAMING_NUMBERS,
    /* inputs "A1" to "A8", "B1", ...; mixes in two families, "floor/1" to "floor/4", then "ear/1",
     * ...; groups "-1", "-2", ...; the bands of an equaliser "low", "low-mid", ... */
    NAMING_LETTERS,
};

enum { NAME_SIZE = 32 };

/* The name of number `index`, from 0, of a kind; numbers are counted from `first`. */
const char *naming_write(enum naming naming, enum count kind, size_t index, unsigned first,
                         char out[NAME_SIZE]);

/* Which of `count` has the name. False when none has. */
bool naming_find(enum naming naming, enum count kind, size_t count, const char *name,
                 size_t *index);

#endif
