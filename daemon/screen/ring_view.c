/* SPDX-License-Identifier: MIT */
#include "screen/ring_view.h"

#include <stdio.h>
#include <string.h>

#include "screen/large.h"
#include "screen/rows.h"

enum { INDENT = 2, SEEN_LEAST = 3, RINGS_MOST = 8, LARGE_LEAST_WIDTH = 40 };

static size_t
lesser(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* ---- large letters ---- */

/* As many lines of large letters as have room; false where there is none for the first. */
static bool
put_large(struct rows *rows, enum tone tone, const char *text)
{
    bool good = true;

    while (*text && good) {
        size_t fits = large_fit(text, rows->width);
        char line[VIEW_ROW_SIZE];

        good = fits > 0 && rows->room > LARGE_ROWS;
        for (int row = 0; row < LARGE_ROWS && good; row++) {
            large_row(line, sizeof line, text, fits, row, large_block());
            rows_cut(rows, tone, line);
        }
        if (good)
            rows_cut(rows, TONE_PLAIN, "");
        text += fits;
        text += strspn(text, " ");
    }
    return good;
}

/* False where not even the first of them has room. */
static bool
put_all_large(struct rows *rows, const struct ring_view *view)
{
    if (rows->width < LARGE_LEAST_WIDTH ||
        !put_large(rows, view->urgent ? TONE_ALARM : TONE_HEAD, view->large[0]))
        return false;
    for (int i = 1; i < RING_VIEW_LARGE; i++)
        if (!put_large(rows, TONE_PLAIN, view->large[i]))
            break;
    return true;
}

/* ---- rows ---- */

static void
put_list(struct rows *rows, enum tone tone, const struct ring_view_list *list, size_t from)
{
    for (size_t i = from; i < list->count; i++)
        rows_wrapped(rows, tone, INDENT, list->texts[i]);
}

/* The last `most` of them, with a heading. */
static void
put_last(struct rows *rows, const char *title, const struct ring_view_list *list, size_t most)
{
    size_t shown = lesser(list->count, most);
    char line[60];

    if (shown == 0)
        return;
    snprintf(line, sizeof line, "%s (%zu)", title, list->count);
    rows_cut(rows, TONE_HEAD, line);
    put_list(rows, TONE_PLAIN, list, list->count - shown);
}

/* How many of what was seen the room has, at least the last few: they may be cut. */
static size_t
seen_room(const struct rows *rows)
{
    return rows->room > SEEN_LEAST + 1 ? rows->room - 1 : SEEN_LEAST;
}

static void
put_next(struct rows *rows, const struct ring_view *view)
{
    char line[VIEW_TEXT_SIZE + 10];

    snprintf(line, sizeof line, "%s %s", view->urgent ? "NOW:" : "next:", view->next);
    rows_wrapped(rows, view->urgent ? TONE_ALARM : TONE_HEAD, INDENT, line);
}

static void
put_body(struct rows *rows, const struct ring_view *view)
{
    put_list(rows, TONE_PLAIN, &view->figures, 0);
    put_list(rows, TONE_FIX, &view->care, 0);
    put_last(rows, "Rings", &view->rings, RINGS_MOST);
    put_last(rows, "Seen", &view->seen, seen_room(rows));
}

/* Where there is no room for more than what to do next. */
static void
put_small(struct rows *rows, const struct ring_view *view, int height)
{
    rows_begin(rows, 0, (size_t)height);
    rows_cut(rows, view->urgent ? TONE_ALARM : TONE_HEAD, view->next);
    rows_fill(rows);
}

void
ring_view_rows(const struct ring_view *view, int width, int height, view_row_fn *each,
               void *context)
{
    struct rows rows = {.width = width, .each = each, .context = context};
    size_t room = height > 1 ? (size_t)height - 1 : 0;
    char head[sizeof view->clock + sizeof view->title + 2];

    snprintf(head, sizeof head, "%s  %s", view->clock, view->title);
    if (width < VIEW_LEAST_WIDTH || height < VIEW_LEAST_HEIGHT) {
        put_small(&rows, view, height);
        return;
    }
    rows_begin(&rows, 0, room);
    rows_cut(&rows, TONE_PLAIN, head);
    if (view->lost || !view->is_large)
        rows_cut(&rows, view->lost ? TONE_ALARM : TONE_DIM, view->link);
    if (!view->is_large || !put_all_large(&rows, view))
        put_next(&rows, view);
    put_body(&rows, view);
    rows_fill(&rows);
    rows_begin(&rows, 0, height > 0);
    rows_cut(&rows, TONE_DIM, view->prompt);
}
