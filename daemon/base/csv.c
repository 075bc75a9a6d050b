/* SPDX-License-Identifier: MIT */
#include "base/csv.h"

#include <string.h>

#include "base/escape.h"

static void
separate(struct csv *csv)
{
    if (csv->begun)
        putc(',', csv->to);
    csv->begun = true;
}

/* "-3.5", "+4": a sign, but nothing to work out. */
static bool
is_number(const char *text)
{
    const char *at = text + strspn(text, "+-");
    size_t whole = strspn(at, "0123456789"), behind = 0;

    if (at - text > 1 || whole == 0)
        return false;
    at += whole;
    if (*at == '.')
        behind = 1 + strspn(at + 1, "0123456789");
    return behind != 1 && !at[behind];
}

/* Spreadsheets look behind blanks and unseen marks, and some take full-width signs for the plain
 * ones; a tab or line end in front is a separator to some. */
static bool
is_formula(const char *text)
{
    bool parted = *text && strchr("\t\r\n", *text);
    char sign;

    while (escape_is_blank(text) || escape_is_unseen(text))
        text += escape_character(text);
    sign = escape_ascii(text);
    return parted || (sign && strchr("=+-@", sign));
}

void
csv_text(struct csv *csv, const char *text)
{
    bool formula = is_formula(text) && !is_number(text);
    bool quoted = formula || text[strcspn(text, ",;\"\t\r\n")] || *text == ' ';

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
