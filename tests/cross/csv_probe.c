/* SPDX-License-Identifier: MIT */
/* Answers for tests/cross/test_csv.py: each text, ended by NUL, as a row of its number and itself. */
#include <stdio.h>
#include <stdlib.h>

#include "base/csv.h"

int
main(void)
{
    struct csv csv = {stdout, false};
    char *text = NULL;
    size_t size = 0;

    csv_text(&csv, "number");
    csv_text(&csv, "text");
    csv_end_row(&csv);
    for (int row = 1; getdelim(&text, &size, '\0', stdin) > 0; row++) {
        csv_number(&csv, row);
        csv_text(&csv, text);
        csv_end_row(&csv);
    }
    free(text);
    return 0;
}
