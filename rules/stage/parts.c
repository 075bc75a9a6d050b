/* SPDX-License-Identifier: MIT */
#include "stage/parts.h"

#include <stdbool.h>

struct search {
    const double *rows;
    int size, next;
    int seen[RADIUS_SIZE];   /* in which order, from 1; 0: not yet */
    int lowest[RADIUS_SIZE]; /* the first seen that it gets back to */
    bool waits[RADIUS_SIZE]; /* it is on the stack */
    int stack[RADIUS_SIZE], depth;
    struct parts *parts;
};

static void
take_part(struct search *search, int root)
{
    int row;

    do {
        row = search->stack[--search->depth];
        search->waits[row] = false;
        search->parts->of[row] = search->parts->count;
    } while (row != root);
    search->parts->count++;
}

/* No deeper than RADIUS_SIZE. */
static void
visit(struct search *search, int row)
{
    search->seen[row] = search->lowest[row] = ++search->next;
    search->stack[search->depth++] = row;
    search->waits[row] = true;
    for (int to = 0; to < search->size; to++) {
        if (!(search->rows[row * search->size + to] > 0))
            continue;
        if (!search->seen[to])
            visit(search, to);
        if (search->waits[to] && search->lowest[to] < search->lowest[row])
            search->lowest[row] = search->lowest[to];
    }
    if (search->lowest[row] == search->seen[row])
        take_part(search, row);
}

void
parts_of(const double *rows, int size, struct parts *parts)
{
    struct search search = {.rows = rows, .size = size, .parts = parts};

    parts->count = 0;
    for (int row = 0; row < size; row++)
        if (!search.seen[row])
            visit(&search, row);
}
