#define _XOPEN_SOURCE 700 /* wcwidth() */
#include "view.h"

#include <stdio.h>
#include <string.h>
#include <wchar.h>

#include "escape.h"

/* ---- columns ---- */

/* The character at `text` and its columns; its length in bytes, at least 1. */
static size_t
character(const char *text, int *columns)
{
    size_t length = escape_character(text);
    wchar_t wide = 0;
    mbstate_t state = {0};

    *columns = 1;
    if (length == 0)
        return 1;
    if (mbrtowc(&wide, text, length, &state) == length)
        *columns = wcwidth(wide) < 0 ? 0 : wcwidth(wide);
    return length;
}

int
view_width(const char *text)
{
    int width = 0, columns;

    for (; *text; width += columns)
        text += character(text, &columns);
    return width;
}

/* Bytes of the text that fit into so many columns; at a space where there is one, when `words`. */
static size_t
fit(const char *text, int width, bool words)
{
    size_t used = 0, space = 0;
    int taken = 0;

    while (text[used]) {
        int columns;
        size_t length = character(text + used, &columns);

        if (taken + columns > width)
            return words && space > 0 ? space : used;
        if (text[used] == ' ')
            space = used;
        used += length;
        taken += columns;
    }
    return used;
}

/* ---- rows ---- */

/* Where rows go: those of the body only from `scroll` on and while there is room. */
struct page {
    int width;
    size_t skip, room; /* of the part in hand */
    size_t body;       /* rows the body has in all */
    view_row_fn *each;
    void *context;
};

static void
put(struct page *page, enum tone tone, const char *text, size_t length)
{
    struct view_row row = {.tone = tone};

    page->body++;
    if (page->skip > 0) {
        page->skip--;
        return;
    }
    if (page->room == 0)
        return;
    page->room--;
    snprintf(row.text, sizeof row.text, "%.*s", (int)length, text);
    page->each(page->context, &row);
}

/* One row, cut where it is too wide. */
static void
put_cut(struct page *page, enum tone tone, const char *text)
{
    put(page, tone, text, fit(text, page->width, false));
}

/* As many rows as it takes, the later ones indented. */
static void
put_wrapped(struct page *page, enum tone tone, int indent, const char *text)
{
    char line[VIEW_ROW_SIZE];
    int in = 0;

    if (indent > page->width / 2)
        indent = 1;
    do {
        size_t length = fit(text, page->width - in, true);

        if (length == 0 && *text) /* a character wider than the room */
            length = strlen(text);
        snprintf(line, sizeof line, "%*s%.*s", in, "", (int)length, text);
        put_cut(page, tone, line);
        text += length;
        text += strspn(text, " ");
        in = indent;
    } while (*text);
}

/* ---- parts ---- */

static const enum tone tones[] = {
    [WEIGHT_NOTE] = TONE_NOTE, [WEIGHT_FIX] = TONE_FIX, [WEIGHT_STOP] = TONE_STOP};
static const char *const words[] = {
    [WEIGHT_NOTE] = "note", [WEIGHT_FIX] = "FIX ", [WEIGHT_STOP] = "STOP"};

static void
put_finding(struct page *page, const struct view_finding *finding)
{
    char line[VIEW_ROW_SIZE];

    snprintf(line, sizeof line, "%s %s%s%s (%s%s%s%s)", words[finding->weight], finding->player,
             *finding->player ? ": " : "", finding->text, finding->since,
             finding->stale ? ", STALE" : "", *finding->hidden ? ", held back: " : "",
             finding->hidden);
    put_wrapped(page, *finding->hidden ? TONE_DIM : tones[finding->weight], 5, line);
}

static void
put_list(struct page *page, const char *title, const char (*list)[VIEW_TEXT_SIZE], size_t count)
{
    char line[100];

    if (count == 0)
        return;
    put_cut(page, TONE_PLAIN, "");
    snprintf(line, sizeof line, "%s (%zu)", title, count);
    put_cut(page, TONE_HEAD, line);
    for (size_t i = 0; i < count; i++)
        put_wrapped(page, TONE_DIM, 4, list[i]);
}

static void
put_body(struct page *page, const struct view_desk *desk)
{
    if (desk->finding_count == 0)
        put_cut(page, TONE_PLAIN,
                desk->lost ? "Nothing was open when the desk was lost" : "Nothing is open");
    for (size_t i = 0; i < desk->finding_count; i++)
        put_finding(page, &desk->findings[i]);
    put_list(page, "Not known", desk->unknown, desk->unknown_count);
    put_list(page, "Quieted", desk->quiets, desk->quiet_count);
}

static void
put_top(struct page *page, const struct view *view)
{
    const struct view_desk *desk = &view->desks[view->chosen];
    char line[VIEW_ROW_SIZE];

    for (size_t i = 0; view->desk_count > 1 && i < view->desk_count; i++) {
        const struct view_desk *one = &view->desks[i];

        snprintf(line, sizeof line, "%s%zu %s: %s; %s", i == view->chosen ? ">" : " ", i + 1,
                 one->show, one->lost ? "LOST" : one->state, one->counts);
        put_cut(page, one->lost ? TONE_ALARM : TONE_PLAIN, line);
    }
    snprintf(line, sizeof line, "%s  %s  %s", view->clock, desk->state, desk->show);
    put_cut(page, TONE_HEAD, line);
    put_cut(page, desk->lost ? TONE_ALARM : TONE_PLAIN, desk->link);
    put_cut(page, TONE_PLAIN, desk->counts);
}

static void
put_events(struct page *page, const struct view_desk *desk, size_t rows)
{
    size_t first = desk->event_count > rows ? desk->event_count - rows : 0;

    for (size_t i = 0; i < rows; i++)
        put_cut(page, TONE_DIM, first + i < desk->event_count ? desk->events[first + i] : "");
}

/* Rows for the last events: a quarter of the screen, and none on a small one. */
static size_t
event_rows(int height)
{
    return height < 12 ? 0 : height / 4 > 10 ? 10 : (size_t)height / 4;
}

size_t
view_rows(const struct view *view, int width, int height, size_t scroll, view_row_fn *each,
          void *context)
{
    struct page page = {.width = width, .room = (size_t)height, .each = each, .context = context};
    const struct view_desk *desk = &view->desks[view->chosen];
    size_t tail = event_rows(height), body_room, beyond;

    if (width < VIEW_LEAST_WIDTH || height < VIEW_LEAST_HEIGHT) {
        put_cut(&page, TONE_ALARM, "too small");
        while (page.room > 0)
            put_cut(&page, TONE_PLAIN, "");
        return 0;
    }
    page.room = (size_t)height - 2;
    put_top(&page, view);
    tail = page.room > tail + 3 ? tail : 0;
    body_room = page.room + 1 - (tail > 0 ? tail + 1 : 0); /* of all but the prompt */
    page.skip = scroll;
    page.room = body_room;
    page.body = 0;
    put_body(&page, desk);
    beyond = page.body > body_room ? page.body - body_room : 0;
    page.skip = 0;
    while (page.room > 0)
        put_cut(&page, TONE_PLAIN, "");
    page.room = tail > 0 ? tail + 1 : 0;
    if (tail > 0) {
        put_cut(&page, TONE_HEAD, "Last");
        put_events(&page, desk, tail);
    }
    page.room = 1;
    put_cut(&page, TONE_DIM, view->prompt);
    return beyond;
}
