/* SPDX-License-Identifier: MIT */
#include "screen/rows.h"

#include <ctype.h>
#include <stdint.h>
#include <string.h>

#include "base/columns.h"

void
rows_begin(struct rows *rows, size_t skip, size_t room)
{
    rows->skip = skip;
    rows->room = room;
    rows->count = 0;
}

static void
put(struct rows *rows, struct view_row *row, int indent, const char *text, size_t length)
{
    rows->count++;
    if (rows->skip > 0) {
        rows->skip--;
        return;
    }
    if (rows->room == 0)
        return;
    rows->room--;
    memset(row->text, ' ', (size_t)indent);
    columns_copy(row->text + indent, sizeof row->text - (size_t)indent, text, length);
    rows->each(rows->context, row);
}

static bool
is_in_number(const char *at)
{
    return isdigit((unsigned char)*at) || (*at == '.' && isdigit((unsigned char)at[1]));
}

/* Bytes of the text that fit: words may be cut, but "-13" must not become "-1". */
static size_t
fit_row(const char *text, int width)
{
    size_t fits = columns_fit(text, width, false), length = fits;

    if (!is_in_number(text + fits))
        return fits;
    while (length > 0 && is_in_number(text + length - 1))
        length--;
    length -= length > 0 && strchr("+-", text[length - 1]);
    return length > 0 ? length : fits;
}

void
rows_cut(struct rows *rows, enum tone tone, const char *text)
{
    struct view_row row = {.tone = tone, .lead = VIEW_ROW_SIZE};

    put(rows, &row, 0, text, fit_row(text, rows->width));
}

void
rows_led(struct rows *rows, enum tone tone, size_t lead, int indent, const char *text, size_t most)
{
    struct view_row row = {.tone = tone, .lead = lead};
    int in = 0;

    if (indent > rows->width / 2)
        indent = 1;
    for (size_t used = 0; used == 0 || (*text && used < most); used++) {
        size_t length =
            most > 1 ? columns_fit(text, rows->width - in, true) : fit_row(text, rows->width - in);

        put(rows, &row, in, text, length);
        text += length;
        text += strspn(text, " ");
        in = indent;
        row.lead = lead < VIEW_ROW_SIZE ? 0 : lead;
    }
}

void
rows_wrapped(struct rows *rows, enum tone tone, int indent, const char *text)
{
    rows_led(rows, tone, VIEW_ROW_SIZE, indent, text, SIZE_MAX);
}

void
rows_fill(struct rows *rows)
{
    while (rows->room > 0)
        rows_cut(rows, TONE_PLAIN, "");
}
