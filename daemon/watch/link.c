/* SPDX-License-Identifier: MIT */
#include "watch/link.h"

#include <stdio.h>
#include <string.h>

#include "base/clock.h"
#include "link/desk_hosts.h"
#include "report/report.h"
#include "watch/earlier.h"
#include "watch/flapping.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/record.h"
#include "watch/saying.h"
#include "watch/words.h"

enum { SILENT_MS = 1000 }; /* a desk that is asked and was not heard for so long may be gone */

/* ---- the link is lost and back ---- */

/* How long the desk has been silent; one that is asked, since the first question without an answer. */
static double
silent_s(const struct watch_desk *desk)
{
    struct link_figures figures = link_figures(desk->link);
    bool counts = link_asks(desk->link) || figures.last_heard_ms < 0;

    return (double)(counts ? LINK_LOST_MS : figures.now_ms - figures.last_heard_ms) / 1000;
}

static void
say_lost(struct watch_desk *desk, enum link_state from, const char *why)
{
    bool speaks = strncmp(why, LINK_SAYS_ONLY, strlen(LINK_SAYS_ONLY)) == 0;
    char line[400];

    if (desk->judge.begun)
        snprintf(
            line, sizeof line,
            "lost the desk: nothing heard for %.0f s (%s). Every value is stale; nothing is raised "
            "or cleared until the whole desk is read again",
            silent_s(desk), why);
    else if (from == LINK_RESOLVING)
        snprintf(line, sizeof line, "the desk's host \"%s\" does not resolve (%s); trying on",
                 desk->session->host, why);
    else
        snprintf(line, sizeof line, "the desk at %s port %d %s (%s); trying on",
                 desk->session->host, desk->session->port,
                 speaks ? "answers, but not as the profile says" : "does not answer", why);
    saying_to_all(desk->saying, "lost", WEIGHT_FIX, line);
}

/* A watch that comes back after a crash says to the hook only what changed meanwhile. */
static void
begin(struct watch_desk *desk)
{
    struct report report = {desk->session, link_figures(desk->link), desk->shared->options->all};
    char open[WATCH_WORDS_SIZE], line[300];

    memset(report.figures.unread, 0, sizeof report.figures.unread); /* told as each came */
    desk->judge.begun = true;
    saying_wait_for_page(desk->saying);
    watcher_begin(desk->watcher, earlier_was_there(desk->earlier), watch_now_ms(desk));
    desk->judge.stood_ms = earlier_was_there(desk->earlier) ? 0 : watch_now_ms(desk);
    kept_all(desk->kept);
    if (!desk->shared->has_screen && saying_has_stdout(desk->session)) {
        report_text(&report);
        putchar('\n');
    }
    saying_go_on(desk->saying);
    snprintf(line, sizeof line, "watching: %s", watch_count_open(desk->session->engine, open));
    if (earlier_was_there(desk->earlier) && !earlier_said_good_bye(desk->earlier))
        saying_line(desk->saying, line);
    else
        saying_to_all(desk->saying, "watching", WEIGHT_NOTE, line);
}

static void
say_flapping(struct watch_desk *desk, int64_t within_ms)
{
    char span[CLOCK_SIZE], steady[CLOCK_SIZE], line[300];

    snprintf(line, sizeof line,
             "the desk comes and goes: lost %d times in %s. Told again when it has been there, or "
             "gone, for %s",
             FLAPPING_LOSSES, clock_span(within_ms, span), clock_span(FLAPPING_STEADY_MS, steady));
    saying_to_all(desk->saying, "flapping", WEIGHT_FIX, line);
}

void
watch_flap_over(void *context)
{
    struct watch_desk *desk = context;
    char open[WATCH_WORDS_SIZE], line[400];

    record_note(desk->record, RECORDED_WAKE, NULL);
    if (!flapping_end(desk->link_news.flapping))
        return;
    if (link_state(desk->link) == LINK_LOST)
        snprintf(line, sizeof line, "the desk has been gone for a minute; every value is stale");
    else
        snprintf(line, sizeof line, "the desk has been there for a minute: %s",
                 watch_count_open(desk->session->engine, open));
    saying_to_all(desk->saying, "flapped", WEIGHT_FIX, line);
    kept_commit(desk->kept);
}

static void
on_lost(struct watch_desk *desk, enum link_state from, const char *why)
{
    int64_t within_ms;

    desk->link_news.reloaded = false; /* the loss is told, so the return is too, */
    desk->link_news.lost = true;      /* also behind a reload */
    watcher_lost(desk->watcher);
    switch (flapping_lost(desk->link_news.flapping, desk->judge.begun, &within_ms)) {
    case FLAPPING_NOT:
        say_lost(desk, from, why);
        break;
    case FLAPPING_BEGINS:
        say_flapping(desk, within_ms);
        break;
    case FLAPPING_ALREADY:
        break;
    }
}

static void
on_back(struct watch_desk *desk)
{
    char span[CLOCK_SIZE], line[200];

    snprintf(line, sizeof line, "the desk answers again after %s, reading all of it",
             clock_span(flapping_lost_for_ms(desk->link_news.flapping), span));
    if (!flapping_is_on(desk->link_news.flapping))
        saying_line(desk->saying, line);
}

static void
on_read_again(struct watch_desk *desk)
{
    char open[WATCH_WORDS_SIZE], span[CLOCK_SIZE], head[400];
    int64_t now_ms = watch_now_ms(desk);

    if (desk->link_news.reloaded) {
        desk->link_news.reloaded = false;
        watch_run(desk);
        return;
    }
    desk->link_news.lost = false;
    /* counted as it will be once it is judged: the message's own edges say the rest */
    snprintf(head, sizeof head, "the desk is back after %s and was read again",
             clock_span(flapping_lost_for_ms(desk->link_news.flapping), span));
    saying_begin_with(desk->saying, head);
    watcher_back(desk->watcher, !flapping_is_on(desk->link_news.flapping), now_ms);
    saying_begin_with(desk->saying, NULL);
    snprintf(head, sizeof head, "now: %s", watch_count_open(desk->session->engine, open));
    if (!flapping_is_on(desk->link_news.flapping))
        saying_line(desk->saying, head);
    watch_sleep(desk);
}

/* So many values went stale on a link that stands. When they were the last ones, that is told: once,
 * until most of the desk is known again. */
static void
on_expired(void *context, size_t values)
{
    struct watch_desk *desk = context;
    const struct desk *model = engine_desk(desk->session->engine);
    size_t known = desk_count_state(model, VALUE_KNOWN);
    struct link_figures figures = link_figures(desk->link);
    int64_t silent_ms = figures.now_ms - figures.last_heard_ms;
    char span[CLOCK_SIZE], line[300];

    if (known + values > (known + desk_count_state(model, VALUE_STALE)) / 2)
        desk->link_news.stale = false;
    if (known > 0 || desk->link_news.stale ||
        (link_asks(desk->link) && silent_ms >= SILENT_MS)) /* its loss will be told */
        return;
    desk->link_news.stale = true;
    snprintf(line, sizeof line,
             "every value is stale: the desk tells nothing, and was last heard %s ago. Nothing is "
             "raised or cleared until it is heard again",
             clock_span(silent_ms, span));
    saying_to_all(desk->saying, "stale", WEIGHT_FIX, line);
    kept_commit(desk->kept);
}

static void
on_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    struct watch_desk *desk = context;
    struct link_figures figures = link_figures(desk->link);

    record_link(desk->record, to, why, to == LINK_STEADY ? &figures : NULL);
    switch (to) {
    case LINK_RESOLVING:
        break;
    case LINK_READING:
        if (from == LINK_LOST)
            on_back(desk);
        break;
    case LINK_STEADY:
        if (desk->judge.begun)
            on_read_again(desk);
        else
            begin(desk);
        break;
    case LINK_LOST:
        on_lost(desk, from, why);
        break;
    }
    kept_commit(desk->kept);
    watch_run(desk);
    flapping_wait(desk->link_news.flapping);
    desk->shared->changed(desk->shared->context);
}

static void
on_reject(void *context, const char *reason, const uint8_t *bytes, size_t length)
{
    struct watch_desk *desk = context;
    char line[REJECT_LINE_SIZE];

    if (!reject_log_note(&desk->link_news.rejects, watch_now_ms(desk), reason, bytes, length, line))
        return;
    if (desk->shared->has_screen)
        saying_line(desk->saying, line);
    else
        fprintf(stderr, "gainwarden: %s%s%s\n",
                desk->shared->several ? session_name(desk->session) : "",
                desk->shared->several ? ": " : "", line);
}

static void
on_resolved(void *context, const struct sockaddr *const *addresses)
{
    struct watch_desk *desk = context;

    desk_hosts_add(desk->shared->hosts, (int)(desk->session - desk->shared->sessions), addresses);
}

void
watch_open_link(struct watch_desk *desk)
{
    struct link_owner owner = {.changed = on_state,
                               .rejected = on_reject,
                               .resolved = on_resolved,
                               .expired = on_expired,
                               .tap = record_tap(desk->record),
                               .context = desk};

    desk->link_news.reloaded = desk->judge.begun && !desk->link_news.lost;
    desk->link = desk->shared->way->open_link(desk, owner);
}
