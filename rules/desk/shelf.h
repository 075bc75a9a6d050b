/* SPDX-License-Identifier: MIT */
/* All values of one parameter. A desk has thousands of cells that are alike, because the profile
 * does not name their parameter or names a constant: one value stands for all of them until one is
 * written. And copies of a desk are many while little moves: they share the values of a parameter
 * until one of them writes there.
 */
#ifndef GAINWARDEN_RULES_SHELF_H
#define GAINWARDEN_RULES_SHELF_H

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum value_state { VALUE_UNKNOWN, VALUE_KNOWN, VALUE_STALE };

/* Its number is in the parameter's unit; of a label it is what that suggests: a position in
 * sources[], or an enum feeds. Nobody but this room reads it but by the functions below, so that no
 * number counts that is not known. */
struct value {
    double heard_number; /* the last one, also when stale */
    int64_t heard_ms;    /* monotonic */
    enum value_state state;
};

/* NAN unless it is known, which is neither more nor less than anything. */
static inline double
value_number(const struct value *value)
{
    return value->state == VALUE_KNOWN ? value->heard_number : (double)NAN;
}

/* It is known, and that. */
static inline bool
value_is(const struct value *value, double number)
{
    return value->state == VALUE_KNOWN && value->heard_number == number;
}

/* What was heard last, for whoever tells or keeps it together with its state. */
static inline double
value_last_heard(const struct value *value)
{
    return value->heard_number;
}

struct cells;

struct shelf {
    const struct value *values; /* rows x columns, or the one that stands for all */
    size_t mask;                /* of a place in them: 0 where one does, else all bits */
    int rows, columns;
    struct cells *cells; /* what `values` are in; NULL: in `all` */
    struct value all;
};

/* Every cell starts as never heard. */
void shelf_init(struct shelf *shelf, int rows, int columns);
void shelf_release(struct shelf *shelf);

/* Every cell has this value. */
void shelf_fill(struct shelf *shelf, struct value value);

/* Takes over all values of one of the same size; what it had is forgotten. */
void shelf_share(struct shelf *shelf, const struct shelf *from);

/* To write to; the indexes must be inside. */
struct value *shelf_cell(struct shelf *shelf, int row, int column);

static inline const struct value *
shelf_value(const struct shelf *shelf, int row, int column)
{
    assert((unsigned)row < (unsigned)shelf->rows && (unsigned)column < (unsigned)shelf->columns);
    return &shelf->values[((size_t)row * (size_t)shelf->columns + (size_t)column) & shelf->mask];
}

#endif
