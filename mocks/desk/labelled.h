/* SPDX-License-Identifier: MIT */
/*
 * Texts in which each value has a name: "gain=12.0; high_pass.on=yes; name=\"Kick In\"", or JSON,
 * {"high_pass":{"on":true}}. The names are the keys of the state file. A run has the number of each
 * behind its key, or is an array of JSON.
 */
#ifndef MOCK_LABELLED_H
#define MOCK_LABELLED_H

#include <stdbool.h>
#include <stddef.h>

#include "item.h"
#include "naming.h"
#include "state.h"

enum { LABELLED_SIZE = 2000 };

struct labelled {
    const struct state *state;
    const struct item *items;
    size_t count;
    const struct field *run; /* the items of this field, the last ones, are a run */
    char (*indices)[NAME_SIZE];
    size_t index_count;
};

/* What does not fit is cut off. The indices are "n1=3; n2=1". */
void labelled_line(const struct labelled *labelled, char out[LABELLED_SIZE]);

/* The indices are the keys of objects around the rest. */
void labelled_json(const struct labelled *labelled, char out[LABELLED_SIZE]);

#endif
