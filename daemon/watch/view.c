/* SPDX-License-Identifier: MIT */
#include "watch/view.h"

#include <stdio.h>
#include <stdlib.h>

#include "base/clock.h"
#include "base/escape.h"
#include "check/check.h"
#include "core/need.h"
#include "report/report.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/lists.h"
#include "watch/margins.h"
#include "watch/saying.h"
#include "watch/standing.h"
#include "watch/words.h"

/* "41 min 02 s", "41 min 02 s, worse 12 s ago, seen by Mo" */
static void
fill_since(const struct watch_desk *desk, const struct finding *finding, struct view_finding *view)
{
    int64_t now_ms = watch_now_ms(desk);
    bool worse = finding->told_ms > finding->since_ms;
    char span[CLOCK_SIZE], ago[CLOCK_SIZE], seen[NOTICED_TEXT_SIZE], since[VIEW_TEXT_SIZE];

    clock_span(now_ms - finding->since_ms, span);
    clock_span(now_ms - finding->told_ms, ago);
    snprintf(since, sizeof since, "%s%s%s%s%s", span, worse ? ", worse " : "", worse ? ago : "",
             worse ? " ago" : "", noticed_text(kept_noticed(desk->kept), finding, seen));
    escape_clean(view->since, sizeof view->since, since);
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
    view->closed = standing_is_closed(desk, finding);
    view->stale = standing_is_stale(desk, finding);
    engine_words(engine, finding, &words);
    snprintf(text, sizeof text, "%s: %s [%s]", report_object(engine, finding->object, object),
             words.says, finding->check->id);
    escape_clean(view->player, sizeof view->player, one->player);
    escape_clean(view->text, sizeof view->text, text);
    escape_clean(view->hidden, sizeof view->hidden, watch_hidden(desk, finding, hidden));
    fill_since(desk, finding, view);
    fill_brief(engine, one, view);
}

static void
fill_findings(const struct watch_desk *desk, struct view_desk *view)
{
    struct standing *standing = standing_list(desk, &view->finding_count);
    struct view_finding *list = need_memory(view->finding_count, sizeof *list);

    for (size_t i = 0; i < view->finding_count; i++)
        fill_finding(desk, &standing[i], &list[i]);
    free(standing);
    view->findings = list;
}

struct lines {
    char (*list)[VIEW_TEXT_SIZE];
    size_t count;
};

static void
add_line(void *context, const char *line)
{
    struct lines *lines = context;

    lines->list = need_more(lines->list, lines->count + 1, sizeof *lines->list);
    escape_clean(lines->list[lines->count++], VIEW_TEXT_SIZE, line);
}

static void
fill_unknown(const struct watch_desk *desk, struct view_desk *view)
{
    struct lines lines = {NULL, 0};

    view->not_known = lists_unknown(desk, add_line, &lines);
    view->unknown = (const char(*)[VIEW_TEXT_SIZE])lines.list;
    view->unknown_count = lines.count;
}

static void
fill_proved(struct watch_desk *desk, struct view_desk *view)
{
    struct lines lines = {NULL, 0};

    margins_lines(desk->margins, desk, add_line, &lines);
    view->proved = (const char(*)[VIEW_TEXT_SIZE])lines.list;
    view->proved_count = lines.count;
}

static void
fill_quiets(const struct watch_desk *desk, struct view_desk *view)
{
    struct lines lines = {NULL, 0};

    lists_quieted(desk, add_line, &lines);
    view->quiets = (const char(*)[VIEW_TEXT_SIZE])lines.list;
    view->quiet_count = lines.count;
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
    *view = (struct view_desk){.lost = false};
    escape_clean(view->show, sizeof view->show, session_name(desk->session));
    fill_room(desk, view);
    fill_link(desk, view);
    fill_findings(desk, view);
    fill_unknown(desk, view);
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
