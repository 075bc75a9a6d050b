/* SPDX-License-Identifier: MIT */
/* The strongly connected parts of a matrix: rows that reach each other through entries above 0.
 * R. Tarjan, "Depth-first search and linear graph algorithms", SIAM J. Comput. 1(2), 1972.
 */
#ifndef GAINWARDEN_RULES_PARTS_H
#define GAINWARDEN_RULES_PARTS_H

#include "stage/radius.h"

struct parts {
    int count;
    int of[RADIUS_SIZE]; /* the part each row belongs to */
};

void parts_of(const double *rows, int size, struct parts *parts);

#endif
