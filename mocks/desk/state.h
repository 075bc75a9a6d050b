/*
 * What the desk is set to: one column of values per field, in human units (dB, Hz, 1 for true),
 * so that the state file, the laws and a debugger all speak of the same number.
 */
#ifndef MOCK_STATE_H
#define MOCK_STATE_H

#include "fields.h"
#include "wire.h"

#include <stdbool.h>
#include <stddef.h>

enum { STATE_TEXT_SIZE = 64 };

struct Column {
    double *numbers;                /* NULL for a text field */
    char (*texts)[STATE_TEXT_SIZE]; /* NULL for every other field */
};

struct State {
    unsigned counts[COUNTS];
    struct Column *columns; /* FIELDS_COUNT of them */
};

/* Every field at its initial value. False when memory is out; release it all the same. */
bool State_init(struct State *state, const unsigned counts[COUNTS]);
void State_release(struct State *state);

/* How many objects a scope has on this desk. */
size_t State_objects(const struct State *state, enum Scope scope);

/* The number of the object at 0-based indices; `inner` is 0 where there is none. */
size_t State_object(const struct State *state, enum Scope scope, size_t outer, size_t inner);
size_t State_outer(const struct State *state, enum Scope scope, size_t object);
size_t State_inner(const struct State *state, enum Scope scope, size_t object);

double State_number(const struct State *state, const struct Field *field, size_t object);
const char *State_text(const struct State *state, const struct Field *field, size_t object);
void State_set_number(struct State *state, const struct Field *field, size_t object, double number);

/* Cuts a text that is too long, never inside a UTF-8 character. */
void State_set_text(struct State *state, const struct Field *field, size_t object,
                    const char *text);

/* Applies a move, clamped to the legal range. False when the argument is of no use. */
bool State_move(struct State *state, const struct Field *field, size_t object,
                const struct Argument *argument);

/* Appends the value as its tag and law have it. */
void State_write(const struct State *state, const struct Field *field, size_t object,
                 struct Draft *draft);

#endif
