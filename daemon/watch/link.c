/* What the link does, and what is said of it: it is told when it is lost and when it is back,
 * unless it comes and goes: then that is told once (flapping.h).
 */
#include <stdio.h>

#include "base/clock.h"
#include "report/report.h"
#include "watch/desk_parts.h"

static void
say_lost(struct watch_desk *desk, enum link_state from, const char *why)
{
    char line[400];

    if (desk->read_once)
        snprintf(
            line, sizeof line,
            "lost the desk: nothing heard for %d s (%s). Every value is stale; nothing is raised "
            "or cleared until the whole desk is read again",
            LINK_LOST_MS / 1000, why);
    else if (from == LINK_RESOLVING)
        snprintf(line, sizeof line, "the desk's host \"%s\" does not resolve (%s); trying on",
                 desk->session->host, why);
    else
        snprintf(line, sizeof line, "the desk at %s port %d does not answer (%s); trying on",
                 desk->session->host, desk->session->port, why);
    watch_say_to_all(desk, "lost", WEIGHT_FIX, line);
}

/* A watch that comes back after a crash says to the hook only what changed meanwhile. */
static void
begin(struct watch_desk *desk)
{
    struct report report = {desk->session, link_figures(desk->link), desk->shared->options->all};
    char open[200], line[300];

    desk->read_once = true;
    desk->page_first = true;
    watcher_begin(desk->watcher, earlier_was_there(desk->earlier), loop_now_ms(desk->shared->loop));
    kept_all(desk->kept);
    if (!desk->shared->has_screen && watch_has_stdout(desk->session)) {
        report_text(&report);
        putchar('\n');
    }
    watch_say_later(desk);
    snprintf(line, sizeof line, "watching: %s", watch_count_open(desk, open));
    if (earlier_was_there(desk->earlier) && !earlier_said_good_bye(desk->earlier))
        watch_say(desk, line);
    else
        watch_say_to_all(desk, "watching", WEIGHT_NOTE, line);
}

static void
say_flapping(struct watch_desk *desk, int64_t within_ms)
{
    char span[CLOCK_SIZE], steady[CLOCK_SIZE], line[300];

    snprintf(line, sizeof line,
             "the desk comes and goes: lost %d times in %s. Told again when it has been there, or "
             "gone, for %s",
             FLAPPING_LOSSES, clock_span(within_ms, span), clock_span(FLAPPING_STEADY_MS, steady));
    watch_say_to_all(desk, "flapping", WEIGHT_FIX, line);
}

/* The link has been the same for so long that its coming and going is over. */
void
watch_on_flap_over(void *context)
{
    struct watch_desk *desk = context;
    char open[200], line[400];

    record_note(desk->record, RECORDED_WAKE, NULL);
    if (!flapping_end(desk->flapping))
        return;
    if (link_state(desk->link) == LINK_LOST)
        snprintf(line, sizeof line, "the desk has been gone for a minute; every value is stale");
    else
        snprintf(line, sizeof line, "the desk has been there for a minute: %s",
                 watch_count_open(desk, open));
    watch_say_to_all(desk, "flapped", WEIGHT_FIX, line);
    kept_commit(desk->kept);
}

static void
on_lost(struct watch_desk *desk, enum link_state from, const char *why)
{
    int64_t within_ms;

    desk->reloaded = false; /* the loss is told, so the return is too */
    watcher_lost(desk->watcher);
    switch (flapping_lost(desk->flapping, desk->read_once, &within_ms)) {
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
             clock_span(flapping_lost_for_ms(desk->flapping), span));
    if (!flapping_is_on(desk->flapping))
        watch_say(desk, line);
}

static void
on_read_again(struct watch_desk *desk)
{
    char open[200], span[CLOCK_SIZE], head[400];
    int64_t now_ms = loop_now_ms(desk->shared->loop);

    if (desk->reloaded) {
        desk->reloaded = false;
        watch_run(desk);
        return;
    }
    /* counted as it will be once it is judged: the message's own edges say the rest */
    snprintf(head, sizeof head, "the desk is back after %s and was read again",
             clock_span(flapping_lost_for_ms(desk->flapping), span));
    desk->head = head;
    watcher_back(desk->watcher, !flapping_is_on(desk->flapping), now_ms);
    desk->head = NULL;
    snprintf(head, sizeof head, "now: %s", watch_count_open(desk, open));
    if (!flapping_is_on(desk->flapping))
        watch_say(desk, head);
    watch_sleep(desk);
}

static void
note_state(struct watch_desk *desk, enum link_state to, const char *why)
{
    struct link_figures figures;

    if (to == LINK_STEADY)
        figures = link_figures(desk->link);
    record_link(desk->record, to, why, to == LINK_STEADY ? &figures : NULL);
}

static void
on_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    struct watch_desk *desk = context;

    note_state(desk, to, why);
    switch (to) {
    case LINK_RESOLVING:
        break;
    case LINK_READING:
        if (from == LINK_LOST)
            on_back(desk);
        break;
    case LINK_STEADY:
        if (desk->read_once)
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
    flapping_wait(desk->flapping);
    desk->shared->changed(desk->shared->context);
}

static void
on_reject(void *context, const char *reason, const uint8_t *bytes, size_t length)
{
    struct watch_desk *desk = context;
    char line[REJECT_LINE_SIZE];

    if (!reject_log_note(&desk->rejects, loop_now_ms(desk->shared->loop), reason, bytes, length,
                         line))
        return;
    if (desk->shared->has_screen)
        watch_say(desk, line);
    else
        fprintf(stderr, "gainwarden: %s%s%s\n",
                desk->shared->several ? session_name(desk->session) : "",
                desk->shared->several ? ": " : "", line);
}

static int
number_of(const struct watch_desk *desk)
{
    return (int)(desk->session - desk->shared->sessions);
}

static void
on_resolved(void *context, const struct sockaddr *const *addresses)
{
    struct watch_desk *desk = context;

    desk_hosts_add(desk->shared->hosts, number_of(desk), addresses);
}

void
watch_open_link(struct watch_desk *desk)
{
    struct session *session = desk->session;
    struct link_owner owner = {.changed = on_state,
                               .rejected = on_reject,
                               .resolved = on_resolved,
                               .tap = record_tap(desk->record),
                               .context = desk};

    if (!desk->shared->past)
        desk_hosts_forget(desk->shared->hosts, number_of(desk));
    desk->link = desk->shared->past
                     ? link_open_replayed(desk->shared->loop, session->profile, session->engine,
                                          session->host, owner)
                     : link_open(desk->shared->loop, session->profile, session->engine,
                                 session->host, session->port, owner);
}
