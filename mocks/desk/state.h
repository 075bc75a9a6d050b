/* SPDX-License-Identifier: MIT */
/*
 * What the desk is set to: one column of values per field, in human units (dB, Hz, 1 for true),
 * so that the state file, the laws and a debugger all speak of the same number.
 */
#ifndef MOCK_STATE_H
#define MOCK_STATE_H

#include <stdbool.h>
#include <stddef.h>

#include "fields.h"
#include "wire.h"

enum { STATE_TEXT_SIZE = 64 };

struct column {
    double *numbers;                /* NULL for a text field */
    char (*texts)[STATE_TEXT_SIZE]; /* NULL for every other field */
};

struct state {
    unsigned counts[COUNTS];
    struct column *columns; /* fields_count of them */
};

/* Every field at its initial value. False when memory is out; release it all the same. */
bool state_init(struct state *state, const unsigned counts[COUNTS]);
void state_release(struct state *state);

/* How many objects a scope has on this desk. */
size_t state_objects(const struct state *state, enum scope scope);

/* The number of the object at 0-based indices; `inner` is 0 where there is none. */
size_t state_object(const struct state *state, enum scope scope, size_t outer, size_t inner);
size_t state_outer(const struct state *state, enum scope scope, size_t object);
size_t state_inner(const struct state *state, enum scope scope, size_t object);

double state_number(const struct state *state, const struct field *field, size_t object);
const char *state_text(const struct state *state, const struct field *field, size_t object);
void state_set_number(struct state *state, const struct field *field, size_t object, double number);

/* Cuts a text that is too long, never inside a UTF-8 character. */
void state_set_text(struct state *state, const struct field *field, size_t object,
                    const char *text);

/* Applies a move, clamped to the legal range. False when the argument is of no use. */
bool state_move(struct state *state, const struct field *field, size_t object,
                const struct argument *argument);

/* Appends the value as its tag and law have it. */
void state_write(const struct state *state, const struct field *field, size_t object,
                 struct draft *draft);

#endif
