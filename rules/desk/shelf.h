/* SPDX-License-Identifier: MIT */
/* All values of one parameter. A desk has thousands of cells that are alike, because the profile
 * does not name their parameter or names a constant: one value stands for all of them until one is
 * written. And copies of a desk are many while little moves: they share the values of a parameter
 * until one of them writes there.
 */
#ifndef GAINWARDEN_RULES_SHELF_H
#define GAINWARDEN_RULES_SHELF_H

#include <assert.h>
#include <stddef.h>
#include <stdint.h>

enum value_state { VALUE_UNKNOWN, VALUE_KNOWN, VALUE_STALE };

struct value {
    double number;    /* in the parameter's unit, the last one heard when stale; of a label what it
                         suggests: a position in sources[], or an enum feeds */
    int64_t heard_ms; /* monotonic */
    enum value_state state;
};

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
