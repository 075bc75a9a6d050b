/* SPDX-License-Identifier: MIT */
#include "screen/view.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/columns.h"
#include "core/text.h"
#include "screen/rows.h"

enum {
    TOP_ROWS = 3,
    EVENTS_FROM = 9,   /* the last events need so many rows beside the fixed ones */
    EVENTS_MOST = 11,  /* with their heading, unless there is room to spare */
    ROOMY_WIDTH = 60,  /* counts are told in words from here on */
    ROOM_WIDTH = 10,   /* "changeover" */
    INDENT = 5,        /* of what follows in a finding: behind "STOP " */
    NAME_WIDTH = 26,   /* of a show among others, at most */
    POSITION_SIZE = 60 /* "3 above, 12 below" */
};

/* ---- rows ---- */

static size_t
lesser(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* ---- findings and other lists ---- */

static const enum tone tones[] = {
    [WEIGHT_NOTE] = TONE_NOTE, [WEIGHT_FIX] = TONE_FIX, [WEIGHT_STOP] = TONE_STOP};
static const char *const words[] = {
    [WEIGHT_NOTE] = "note", [WEIGHT_FIX] = "FIX ", [WEIGHT_STOP] = "STOP"};

/* "12 s, held back: room show" */
static void
add_since(struct text *line, const struct view_finding *finding)
{
    text_add(line, " (%s%s%s%s)", finding->since,
             finding->closed ? ", muted or sent nowhere now" : "",
             *finding->hidden ? ", held back: " : "", finding->hidden);
}

/* What it says; behind the figure when it may be cut. */
static void
add_says(struct text *line, const struct view_finding *finding, bool figure)
{
    if (figure && *finding->figure)
        text_add(line, "%s  ", finding->figure);
    text_add(line, "%s%s%s", finding->player, *finding->player ? ": " : "", finding->text);
}

static bool
has_brief(const struct view_finding *finding)
{
    return finding->fresh && *finding->figure;
}

/* What is fresh in brief; else all it says, unless that is wanted in one row. */
static void
put_finding(struct rows *rows, const struct view_finding *finding, bool brief)
{
    char line[VIEW_ROW_SIZE];
    bool dim = *finding->hidden && finding->weight != WEIGHT_STOP;
    struct text text;

    text_init(&text, line, sizeof line);
    text_add(&text, "%s %s", words[finding->weight], finding->stale ? "STALE " : "");
    if (has_brief(finding))
        text_add(&text, "%s  %s", finding->figure, finding->brief);
    else
        add_says(&text, finding, brief);
    add_since(&text, finding);
    rows_led(rows, dim ? TONE_DIM : tones[finding->weight],
             dim              ? VIEW_ROW_SIZE
             : finding->stale ? strlen("STOP STALE")
                              : strlen("STOP"),
             INDENT, line, brief ? 1 : SIZE_MAX);
}

/* All that one says whose brief row stands above. */
static void
put_rest(struct rows *rows, const struct view_finding *finding)
{
    char line[VIEW_ROW_SIZE];
    struct text text;

    text_init(&text, line, sizeof line);
    text_add(&text, "     ");
    add_says(&text, finding, false);
    rows_led(rows, TONE_PLAIN, VIEW_ROW_SIZE, INDENT, line, SIZE_MAX);
}

/* Everything that is fresh before anything is told at length. */
static void
put_findings(struct rows *rows, const struct view_desk *desk, bool brief)
{
    size_t count = desk->finding_count;

    for (size_t i = 0; i < count; i++)
        if (has_brief(&desk->findings[i]))
            put_finding(rows, &desk->findings[i], brief);
    for (size_t i = 0; i < count && !brief; i++)
        if (has_brief(&desk->findings[i]))
            put_rest(rows, &desk->findings[i]);
    for (size_t i = 0; i < count; i++)
        if (!has_brief(&desk->findings[i]))
            put_finding(rows, &desk->findings[i], brief);
}

static void
put_list(struct rows *rows, const char *title, const char (*list)[VIEW_TEXT_SIZE], size_t count,
         size_t all)
{
    char line[100];

    if (all == 0)
        return;
    rows_cut(rows, TONE_PLAIN, "");
    snprintf(line, sizeof line, "%s (%zu)", title, all);
    rows_cut(rows, TONE_HEAD, line);
    for (size_t i = 0; i < count; i++)
        rows_wrapped(rows, TONE_DIM, 4, list[i]);
    if (all > count) {
        snprintf(line, sizeof line, "and %zu more", all - count);
        rows_cut(rows, TONE_DIM, line);
    }
}

static void
put_unlisted(struct rows *rows, const struct view_counts *unlisted)
{
    char line[WEIGHT_COUNTS_SIZE + 10], counts[WEIGHT_COUNTS_SIZE];

    if (unlisted->open[WEIGHT_STOP] + unlisted->open[WEIGHT_FIX] + unlisted->open[WEIGHT_NOTE] == 0)
        return;
    snprintf(line, sizeof line, "and %s", weight_counts(unlisted->open, counts));
    rows_cut(rows, TONE_DIM, line);
}

static void
put_body(struct rows *rows, const struct view *view)
{
    const struct view_desk *desk = &view->desks[view->chosen];

    if (desk->finding_count == 0)
        rows_cut(rows, TONE_PLAIN,
                 desk->lost ? "Nothing was open when the desk was lost" : "Nothing is open");
    put_findings(rows, desk, view->brief);
    put_unlisted(rows, &desk->unlisted);
    put_list(rows, "Proved", desk->proved, desk->proved_count, desk->proved_count);
    put_list(rows, "Not known", desk->unknown, desk->unknown_count, desk->not_known);
    put_list(rows, "Quieted", desk->quiets, desk->quiet_count, desk->quiet_count);
}

/* ---- counts ---- */

void
view_count(struct view_counts *counts, const struct view_finding *finding)
{
    counts->open[finding->weight]++;
    counts->held_back += *finding->hidden != '\0';
}

static struct view_counts
counts_of(const struct view_desk *desk)
{
    struct view_counts counts = desk->unlisted;

    for (size_t i = 0; i < desk->finding_count; i++)
        view_count(&counts, &desk->findings[i]);
    return counts;
}

static void
put_counts(struct rows *rows, const struct view_desk *desk)
{
    struct view_counts tally = counts_of(desk);
    char line[200], counts[WEIGHT_COUNTS_SIZE];
    struct text text;

    text_init(&text, line, sizeof line);
    if (rows->width < ROOMY_WIDTH)
        text_add(&text, "stop %zu, fix %zu, note %zu, unknown %zu", tally.open[WEIGHT_STOP],
                 tally.open[WEIGHT_FIX], tally.open[WEIGHT_NOTE], desk->not_known);
    else
        text_add(&text, "%s, %zu not known", weight_counts(tally.open, counts), desk->not_known);
    if (rows->width >= ROOMY_WIDTH && tally.held_back > 0)
        text_add(&text, ", %zu held back", tally.held_back);
    rows_cut(rows, TONE_PLAIN, line);
}

/* ---- several desks ---- */

static enum tone
desk_tone(const struct view_desk *desk, const struct view_counts *tally)
{
    return desk->lost                     ? TONE_ALARM
           : tally->open[WEIGHT_STOP] > 0 ? TONE_STOP
           : tally->open[WEIGHT_FIX] > 0  ? TONE_FIX
                                          : TONE_PLAIN;
}

/* ">2 Quarry Stage  changeover  stop  1  fix  5  note  8  unknown  0" */
static void
put_desk(struct rows *rows, const struct view *view, size_t i, int name_width)
{
    const struct view_desk *desk = &view->desks[i];
    struct view_counts tally = counts_of(desk);
    char line[VIEW_ROW_SIZE], name[VIEW_TEXT_SIZE], room[100];
    size_t word = strcspn(desk->room, ",");

    columns_pad(name, sizeof name, desk->show, name_width);
    snprintf(room, sizeof room, "%.*s", (int)word, desk->lost ? "LOST" : desk->room);
    snprintf(line, sizeof line, "%c%zu %s  %-*s  stop %2zu  fix %2zu  note %2zu  unknown %2zu%s",
             i == view->chosen ? '>' : ' ', i + 1, name, ROOM_WIDTH, room, tally.open[WEIGHT_STOP],
             tally.open[WEIGHT_FIX], tally.open[WEIGHT_NOTE], desk->not_known,
             desk->lost ? "  STALE" : "");
    rows_cut(rows, desk_tone(desk, &tally), line);
}

/* Those of which no row is left, from `first` to before `end` excepted: "and 3 more: 1 LOST, ..."
 */
static void
put_other_desks(struct rows *rows, const struct view *view, size_t first, size_t end)
{
    struct view_counts all = {.held_back = 0};
    size_t lost = 0, others = view->desk_count - (end - first);
    char line[200];

    for (size_t i = 0; i < view->desk_count; i++) {
        struct view_counts tally = counts_of(&view->desks[i]);

        if (i >= first && i < end)
            continue;
        lost += view->desks[i].lost;
        all.open[WEIGHT_STOP] += tally.open[WEIGHT_STOP];
        all.open[WEIGHT_FIX] += tally.open[WEIGHT_FIX];
    }
    snprintf(line, sizeof line, "%zu other desk%s: %zu LOST, stop %zu, fix %zu", others,
             others == 1 ? "" : "s", lost, all.open[WEIGHT_STOP], all.open[WEIGHT_FIX]);
    rows_cut(rows, lost > 0 || all.open[WEIGHT_STOP] > 0 ? TONE_ALARM : TONE_DIM, line);
}

static int
name_width(const struct view *view, int width)
{
    int most = width < ROOMY_WIDTH ? width / 5 : NAME_WIDTH, widest = 0;

    for (size_t i = 0; i < view->desk_count; i++) {
        int one = columns_width(view->desks[i].show);

        widest = one > widest ? one : widest;
    }
    return widest < most ? widest : most;
}

static void
put_desks(struct rows *rows, const struct view *view)
{
    size_t room = rows->room, first = 0, end = view->desk_count;
    int width = name_width(view, rows->width);

    if (room == 0)
        return;
    if (room < view->desk_count) { /* the last row is for the others; the chosen one stands below */
        size_t shown = room > 1 ? room - 1 : 1;

        first = view->chosen - lesser(view->chosen, shown / 2);
        first = lesser(first, view->desk_count - shown);
        end = first + shown;
    }
    for (size_t i = first; i < end && rows->room > (room < view->desk_count); i++)
        put_desk(rows, view, i, width);
    if (room < view->desk_count)
        put_other_desks(rows, view, first, end);
}

/* ---- above and below the scrolled part ---- */

static void
put_top(struct rows *rows, const struct view *view)
{
    const struct view_desk *desk = &view->desks[view->chosen];
    char line[VIEW_ROW_SIZE];

    snprintf(line, sizeof line, "%s  %s  %s", view->clock, desk->room, desk->show);
    rows_cut(rows, TONE_HEAD, line);
    rows_cut(rows, desk->lost ? TONE_ALARM : TONE_PLAIN, desk->link);
    put_counts(rows, desk);
}

static void
put_events(struct rows *rows, const struct view_desk *desk)
{
    size_t room = rows->room - (rows->room > 0);
    size_t first = desk->event_count > room ? desk->event_count - room : 0;

    rows_cut(rows, TONE_HEAD, "Last");
    for (size_t i = first; i < desk->event_count && rows->room > 0; i++)
        rows_cut(rows, TONE_DIM, desk->events[i]);
    rows_fill(rows);
}

static void
position_text(struct view_extent extent, char text[POSITION_SIZE])
{
    text[0] = '\0';
    if (extent.scroll > 0 && extent.below > 0)
        snprintf(text, POSITION_SIZE, "%zu above, %zu below", extent.scroll, extent.below);
    else if (extent.scroll > 0)
        snprintf(text, POSITION_SIZE, "%zu rows above", extent.scroll);
    else if (extent.below > 0)
        snprintf(text, POSITION_SIZE, "%zu rows below", extent.below);
}

/* The prompt, with what is out of sight at its right end. */
static void
put_prompt(struct rows *rows, const char *prompt, struct view_extent extent)
{
    char line[VIEW_ROW_SIZE], position[POSITION_SIZE];
    int room;

    position_text(extent, position);
    room = rows->width - columns_width(position);
    if (!*position || rows->room > 1 || columns_width(prompt) + 2 > room) {
        rows_wrapped(rows, TONE_DIM, 0, prompt);
    } else {
        size_t used = columns_pad(line, sizeof line, prompt, room);

        snprintf(line + used, sizeof line - used, "%s", position);
        rows_cut(rows, TONE_DIM, line);
    }
    rows_fill(rows);
}

/* ---- the screen ---- */

/* Rows of each part, from the top. */
struct parts {
    size_t desks, body, events, prompt;
};

static struct parts
parts_of(const struct view *view, size_t height, size_t prompt, size_t body)
{
    const struct view_desk *desk = &view->desks[view->chosen];
    struct parts parts = {.desks = 0};
    size_t left, events;

    if (view->desk_count > 1)
        parts.desks = lesser(view->desk_count, height < 10 ? 1 : (height - 6) / 2);
    parts.prompt = lesser(prompt, height - TOP_ROWS - parts.desks - 1);
    left = height - TOP_ROWS - parts.desks - parts.prompt;
    if (left >= EVENTS_FROM && desk->event_count > 0) {
        events = lesser(left / 3, EVENTS_MOST);
        if (left > body && left - body > events)
            events = left - body; /* room to spare */
        parts.events = lesser(events, desk->event_count + 1);
    }
    parts.body = left - parts.events;
    return parts;
}

struct view_extent
view_rows(const struct view *view, int width, int height, size_t scroll, view_row_fn *each,
          void *context)
{
    struct rows rows = {.width = width, .room = (size_t)height, .each = each, .context = context};
    struct rows prompt = {.width = width}, body = prompt; /* nothing is shown of these */
    struct view_extent extent = {0};
    struct parts parts;
    size_t hidden;

    if (width < VIEW_LEAST_WIDTH || height < VIEW_LEAST_HEIGHT) {
        rows_cut(&rows, TONE_ALARM, "too small");
        rows_fill(&rows);
        return extent;
    }
    rows_wrapped(&prompt, TONE_DIM, 0, view->prompt);
    put_body(&body, view);
    parts = parts_of(view, (size_t)height, prompt.count, body.count);
    hidden = body.count - lesser(body.count, parts.body);
    extent.room = parts.body;
    extent.scroll = lesser(scroll, hidden);
    extent.below = hidden - extent.scroll;
    rows_begin(&rows, 0, parts.desks);
    put_desks(&rows, view);
    rows_begin(&rows, 0, TOP_ROWS);
    put_top(&rows, view);
    rows_begin(&rows, extent.scroll, parts.body);
    put_body(&rows, view);
    rows_fill(&rows);
    rows_begin(&rows, 0, parts.events);
    if (parts.events > 0)
        put_events(&rows, &view->desks[view->chosen]);
    rows_begin(&rows, 0, parts.prompt);
    put_prompt(&rows, view->prompt, extent);
    return extent;
}

void
view_page(const struct view *view, int width, view_row_fn *each, void *context)
{
    struct rows rows = {.width = width, .each = each, .context = context};
    const struct view_desk *desk = &view->desks[view->chosen];

    rows_begin(&rows, 0, SIZE_MAX);
    put_top(&rows, view);
    put_body(&rows, view);
    rows_begin(&rows, 0, desk->event_count > 0 ? desk->event_count + 1 : 0);
    if (desk->event_count > 0)
        put_events(&rows, desk);
}
