/* SPDX-License-Identifier: MIT */
/* Answers for tests in other languages: one square matrix a line on standard input, "SIZE ENTRY...",
 * the two bounds of its spectral radius on standard output.
 */
#include <stdio.h>
#include <stdlib.h>

#include "stage/radius.h"

static void
answer(int size)
{
    static double rows[RADIUS_SIZE * RADIUS_SIZE];
    struct radius radius;

    for (int i = 0; i < size * size; i++)
        if (scanf("%lf", &rows[i]) != 1) {
            fputs("radius_probe: an entry is missing\n", stderr);
            exit(2);
        }
    radius = radius_of(rows, size);
    printf("%.17g %.17g\n", radius.least, radius.most);
}

int
main(void)
{
    int size;

    while (scanf("%d", &size) == 1 && size >= 0 && size <= RADIUS_SIZE)
        answer(size);
    return 0;
}
