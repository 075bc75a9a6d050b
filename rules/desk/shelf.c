/* SPDX-License-Identifier: MIT */
#include "desk/shelf.h"

#include <stdlib.h>

#include "core/need.h"

struct cells {
    size_t users; /* shelves */
    struct value values[];
};

void
shelf_init(struct shelf *shelf, int rows, int columns)
{
    *shelf = (struct shelf){.rows = rows, .columns = columns};
    shelf->values = &shelf->all;
}

void
shelf_release(struct shelf *shelf)
{
    if (shelf->cells && --shelf->cells->users == 0)
        free(shelf->cells);
    shelf->cells = NULL;
}

void
shelf_fill(struct shelf *shelf, struct value value)
{
    shelf_release(shelf);
    shelf->all = value;
    shelf->values = &shelf->all;
    shelf->mask = 0;
}

void
shelf_share(struct shelf *shelf, const struct shelf *from)
{
    assert(shelf->rows == from->rows && shelf->columns == from->columns);
    if (!from->cells) {
        shelf_fill(shelf, from->all);
        return;
    }
    from->cells->users++;
    shelf_release(shelf);
    shelf->cells = from->cells;
    shelf->values = from->values;
    shelf->mask = from->mask;
}

/* Cells of its own. */
static void
part(struct shelf *shelf)
{
    size_t count = (size_t)shelf->rows * (size_t)shelf->columns;
    struct cells *cells = need_memory(1, sizeof *cells + count * sizeof *cells->values);

    cells->users = 1;
    for (size_t i = 0; i < count; i++)
        cells->values[i] = shelf->values[i & shelf->mask];
    shelf_release(shelf);
    shelf->cells = cells;
    shelf->values = cells->values;
    shelf->mask = SIZE_MAX;
}

struct value *
shelf_cell(struct shelf *shelf, int row, int column)
{
    assert((unsigned)row < (unsigned)shelf->rows && (unsigned)column < (unsigned)shelf->columns);
    if (!shelf->cells || shelf->cells->users > 1)
        part(shelf);
    return &shelf->cells->values[(size_t)row * (size_t)shelf->columns + (size_t)column];
}
