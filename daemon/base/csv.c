/* SPDX-License-Identifier: MIT */
#include "base/csv.h"

#include <string.h>

static void
separate(struct csv *csv)
{
    if (csv->begun)
        putc(',', csv->to);
    csv->begun = true;
}

void
csv_text(struct csv *csv, const char *text)
{
    bool formula = *text && strchr("=+-@\t\r", *text);
    bool quoted = formula || text[strcspn(text, ",\"\r\n")] || *text == ' ';

    separate(csv);
    if (!quoted) {
        fputs(text, csv->to);
        return;
    }
    fputs(formula ? "\"'" : "\"", csv->to);
    for (; *text; text++) {
        if (*text == '"')
            putc('"', csv->to);
        putc(*text, csv->to);
    }
    putc('"', csv->to);
}

void
csv_number(struct csv *csv, double number)
{
    separate(csv);
    fprintf(csv->to, "%.10g", number);
}

void
csv_end_row(struct csv *csv)
{
    fputs("\r\n", csv->to);
    csv->begun = false;
}
