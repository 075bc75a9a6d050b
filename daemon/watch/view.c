/* SPDX-License-Identifier: MIT */
#include "watch/view.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/escape.h"
#include "check/check.h"
#include "core/need.h"
#include "report/report.h"
#include "watch/handles.h"
#include "watch/margins.h"
#include "watch/saying.h"
#include "watch/words.h"

enum { UNKNOWN_LISTED = 40, FRESH_MS = 60 * 1000 };

/* An open finding on its way to its place. */
struct standing {
    const struct finding *finding;
    bool fresh;
    char player[SHOW_NAME_SIZE];
};

/* What is fresh first, then by weight; within a weight the newest first, and of what began together
 * what is one person's stands together. */
static int
by_freshness(const void *left, const void *right)
{
    const struct standing *a = left, *b = right;

    if (a->fresh != b->fresh)
        return a->fresh ? -1 : 1;
    if (a->finding->verdict.weight != b->finding->verdict.weight)
        return a->finding->verdict.weight > b->finding->verdict.weight ? -1 : 1;
    if (a->finding->told_ms != b->finding->told_ms)
        return a->finding->told_ms > b->finding->told_ms ? -1 : 1;
    return strcmp(a->player, b->player);
}

/* It began, or grew worse, less than a minute ago or since the room changed, and was not so from the
 * beginning. What is held back is no news. */
static bool
is_fresh(const struct watch_desk *desk, const struct finding *finding)
{
    int64_t told_ms = finding->told_ms;
    int by;

    if (told_ms <= desk->judge.stood_ms ||
        (watch_now_ms(desk) - told_ms >= FRESH_MS && told_ms < desk->room_ms))
        return false;
    return finding->verdict.weight == WEIGHT_STOP ||
           watcher_hidden(desk->watcher, finding, &by) == HIDDEN_NOT;
}

/* "41 min 02 s", "41 min 02 s, worse 12 s ago" */
static void
fill_since(const struct watch_desk *desk, const struct finding *finding, struct view_finding *view)
{
    int64_t now_ms = watch_now_ms(desk);
    char span[CLOCK_SIZE], worse[CLOCK_SIZE];

    clock_span(now_ms - finding->since_ms, span);
    if (finding->told_ms > finding->since_ms)
        snprintf(view->since, sizeof view->since, "%s, worse %s ago", span,
                 clock_span(now_ms - finding->told_ms, worse));
    else
        snprintf(view->since, sizeof view->since, "%s", span);
}

static void
fill_brief(const struct engine *engine, const struct standing *one, struct view_finding *view)
{
    char text[VIEW_TEXT_SIZE + 400];
    struct brief brief;

    engine_brief(engine, one->finding, one->fresh, &brief);
    snprintf(text, sizeof text, "%s: %s", brief.place, brief.cure);
    escape_clean(view->figure, sizeof view->figure, brief.figure);
    escape_clean(view->brief, sizeof view->brief, text);
}

static void
fill_finding(const struct watch_desk *desk, const struct standing *one, struct view_finding *view)
{
    const struct engine *engine = desk->session->engine;
    const struct finding *finding = one->finding;
    char object[REPORT_OBJECT_SIZE], hidden[WATCH_WORDS_SIZE], text[VIEW_TEXT_SIZE + 400];
    struct words words;

    *view = (struct view_finding){.weight = finding->verdict.weight, .fresh = one->fresh};
    if (finding->life.frozen) /* an input that is muted is no missing value */
        view->closed = engine_outcome(engine, finding->slot) == OUTCOME_CLOSED;
    view->stale = finding->life.frozen && !view->closed;
    engine_words(engine, finding, &words);
    snprintf(text, sizeof text, "%s: %s [%s]", report_object(engine, finding->object, object),
             words.says, finding->check->id);
    escape_clean(view->player, sizeof view->player, one->player);
    escape_clean(view->text, sizeof view->text, text);
    escape_clean(view->hidden, sizeof view->hidden, watch_hidden(desk, finding, hidden));
    fill_since(desk, finding, view);
    fill_brief(engine, one, view);
}

/* Those that are not accepted, in the order to show them; for free(). */
static struct standing *
standing_ones(const struct watch_desk *desk, size_t *count)
{
    const struct finding *const *findings;
    size_t all = engine_findings(desk->session->engine, &findings);
    struct standing *list = need_memory(all, sizeof *list);

    *count = 0;
    for (size_t i = 0; i < all; i++) {
        struct standing *one = &list[*count];

        if (findings[i]->accept >= 0)
            continue;
        one->finding = findings[i];
        one->fresh = is_fresh(desk, findings[i]);
        engine_player(desk->session->engine, findings[i], one->player);
        ++*count;
    }
    if (*count > 0)
        qsort(list, *count, sizeof *list, by_freshness);
    return list;
}

static void
fill_findings(const struct watch_desk *desk, struct view_desk *view)
{
    struct standing *standing = standing_ones(desk, &view->finding_count);
    struct view_finding *list = need_memory(view->finding_count, sizeof *list);

    for (size_t i = 0; i < view->finding_count; i++)
        fill_finding(desk, &standing[i], &list[i]);
    free(standing);
    view->findings = list;
}

struct unknowns {
    const struct watch_desk *desk;
    char (*list)[VIEW_TEXT_SIZE];
    size_t count; /* also of those that are not listed */
};

static void
fill_unknown(void *context, const struct check *check, struct object object, const char *why)
{
    struct unknowns *unknowns = context;
    char name[REPORT_OBJECT_SIZE], text[VIEW_TEXT_SIZE + 400];

    if (unknowns->count++ >= UNKNOWN_LISTED)
        return;
    snprintf(text, sizeof text, "%s, %s: %s", check->id,
             report_object(unknowns->desk->session->engine, object, name), why);
    escape_clean(unknowns->list[unknowns->count - 1], VIEW_TEXT_SIZE, text);
}

struct proved_lines {
    char (*list)[VIEW_TEXT_SIZE];
    size_t count;
};

static void
fill_proved_line(void *context, const char *line)
{
    struct proved_lines *lines = context;

    lines->list = need_more(lines->list, lines->count + 1, sizeof *lines->list);
    escape_clean(lines->list[lines->count++], VIEW_TEXT_SIZE, line);
}

static void
fill_proved(struct watch_desk *desk, struct view_desk *view)
{
    struct proved_lines lines = {NULL, 0};

    margins_lines(desk->margins, desk, fill_proved_line, &lines);
    view->proved = (const char(*)[VIEW_TEXT_SIZE])lines.list;
    view->proved_count = lines.count;
}

static void
fill_quiets(const struct watch_desk *desk, struct view_desk *view)
{
    const struct quiets *quiets = watcher_quiets(desk->watcher);
    char(*list)[VIEW_TEXT_SIZE] = need_memory(quiets->count + 1, sizeof *list);
    char held[VIEW_TEXT_SIZE];

    if (*watch_held_text(desk, held, sizeof held))
        escape_clean(list[view->quiet_count++], VIEW_TEXT_SIZE, held);
    for (size_t i = 0; i < quiets->count; i++) {
        char text[VIEW_TEXT_SIZE];

        watch_quiet_text(&quiets->list[i], watch_now_ms(desk), text, sizeof text);
        if (!quiets->list[i].ended)
            escape_clean(list[view->quiet_count++], VIEW_TEXT_SIZE, text);
    }
    view->quiets = (const char(*)[VIEW_TEXT_SIZE])list;
}

static void
fill_events(const struct watch_desk *desk, struct view_desk *view)
{
    char events[SAYING_EVENTS][SAYING_EVENT_SIZE];
    char(*list)[VIEW_TEXT_SIZE] = need_memory(SAYING_EVENTS, sizeof *list);

    view->event_count = saying_events(desk->saying, events);
    for (size_t i = 0; i < view->event_count; i++)
        escape_clean(list[i], VIEW_TEXT_SIZE, events[i]);
    view->events = (const char(*)[VIEW_TEXT_SIZE])list;
}

static void
fill_link(const struct watch_desk *desk, struct view_desk *view)
{
    struct link_figures figures = link_figures(desk->link);
    const char *state = link_state_name(link_state(desk->link));
    int64_t ago_ms = watch_now_ms(desk) - figures.last_heard_ms;
    char span[CLOCK_SIZE], then[CLOCK_SIZE], values[WATCH_WORDS_SIZE];

    view->lost = link_state(desk->link) == LINK_LOST;
    if (figures.last_heard_ms < 0)
        snprintf(view->link, sizeof view->link, "desk %s, never heard", state);
    else if (view->lost)
        snprintf(view->link, sizeof view->link, "desk LOST for %s: all STALE, findings as of %s",
                 clock_span(ago_ms, span), clock_time_ago(ago_ms, then));
    else
        snprintf(view->link, sizeof view->link, "desk %s, heard %s ago; %s", state,
                 clock_span(ago_ms, span), watch_count_values(desk->session->engine, values));
}

static void
fill_room(const struct watch_desk *desk, struct view_desk *view)
{
    char left[WATCH_LEFT_SIZE];

    snprintf(view->room, sizeof view->room, "%s%s%s", room_name(watcher_room(desk->watcher)),
             *watch_room_left(desk, left) ? ", " : "", left);
}

void
watch_desk_view(struct watch_desk *desk, struct view_desk *view)
{
    struct unknowns unknowns = {desk, need_memory(UNKNOWN_LISTED, sizeof *unknowns.list), 0};

    *view = (struct view_desk){.lost = false};
    escape_clean(view->show, sizeof view->show, session_name(desk->session));
    fill_room(desk, view);
    fill_link(desk, view);
    fill_findings(desk, view);
    engine_unknown(desk->session->engine, fill_unknown, &unknowns);
    view->unknown = (const char(*)[VIEW_TEXT_SIZE])unknowns.list;
    view->not_known = unknowns.count;
    view->unknown_count = unknowns.count < UNKNOWN_LISTED ? unknowns.count : UNKNOWN_LISTED;
    fill_proved(desk, view);
    fill_quiets(desk, view);
    fill_events(desk, view);
}

void
watch_desk_view_free(struct view_desk *view)
{
    free((void *)view->findings);
    free((void *)view->unknown);
    free((void *)view->proved);
    free((void *)view->quiets);
    free((void *)view->events);
}
