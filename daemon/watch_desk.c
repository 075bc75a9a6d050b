/* What is told of one desk, and when. A finding is told when it opens, grows or closes; the link
 * when it is lost and when it is back, unless it comes and goes: then that is told once (FLAP_...).
 */
#include "watch_desk.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "chat.h"
#include "clock.h"
#include "link.h"
#include "output.h"
#include "player.h"
#include "reject_log.h"
#include "report.h"

enum {
    LINES_AT_ONCE = 9, /* of one wake-up; a scene recall moves many */
    SETTLE_MS = 50,    /* what changes within this time is judged and told together */
    LINE_SIZE = 1400,
    FLAP_LOSSES = 3, /* so many within FLAP_WITHIN_MS are one story */
    FLAP_WITHIN_MS = 10 * 60 * 1000,
    FLAP_STEADY_MS = 60 * 1000 /* after which the story is over, one way or the other */
};

struct watch_desk {
    const struct watch_room *room;
    struct session *session;
    struct link *link;
    struct chat *chat; /* NULL: none */
    struct loop_timer *settle, *flap;
    bool settling;                   /* the settle timer runs */
    int64_t lost_ms;                 /* since when the desk is lost */
    int64_t lost_at_ms[FLAP_LOSSES]; /* the latest losses, in a ring */
    uint64_t losses;
    bool flapping;
    bool read_once; /* the first page was printed */
    bool stopping;
    int told, chat_told;  /* lines of this wake-up */
    char chat_text[4000]; /* what this wake-up tells the hook */
    struct reject_log rejects;
};

/* ---- telling ---- */

/* One line with the time before it. */
static void
say(struct watch_desk *desk, const char *line)
{
    char when[CLOCK_SIZE], timed[LINE_SIZE + CLOCK_SIZE + SHOW_NAME_SIZE];

    snprintf(timed, sizeof timed, "%s %s%s%s", clock_time(when),
             desk->room->several ? session_name(desk->session) : "",
             desk->room->several ? ": " : "", line);
    output_line(9, timed);
    if (!output_finish() && !desk->stopping) {
        desk->stopping = true;
        desk->room->output_lost(desk->room->context);
    }
}

static void
say_to_all(struct watch_desk *desk, const char *line)
{
    char text[LINE_SIZE + 100];

    say(desk, line);
    if (!desk->chat)
        return;
    snprintf(text, sizeof text, "%s: %s", session_name(desk->session), line);
    chat_say(desk->chat, text);
}

static void
on_chat_trouble(void *context, const char *line)
{
    say(context, line);
}

static const char *
event_line(const struct watch_desk *desk, const struct event *event, char line[LINE_SIZE])
{
    const struct finding *finding = event->finding;
    const char *id = checks[finding->check]->id;
    char object[REPORT_OBJECT_SIZE], player[SHOW_NAME_SIZE], span[CLOCK_SIZE];

    report_object(desk->session->engine, finding->object, object);
    player_of(engine_desk(desk->session->engine), engine_show(desk->session->engine), finding,
              player);
    if (event->kind == EVENT_CLEARED)
        snprintf(line, LINE_SIZE, "cleared [%s] %s after %s", id, object,
                 clock_span(event->lasted_ms, span));
    else
        snprintf(line, LINE_SIZE, "%s %s [%s] %s%s%s%s: %s; do: %s",
                 event->kind == EVENT_RAISED ? "raised" : "worse",
                 weight_name(finding->verdict.weight), id, object, *player ? " (" : "", player,
                 *player ? ")" : "", finding->verdict.says, finding->verdict.cure);
    return line;
}

/* Gathers a wake-up's lines for the hook into one message. */
static void
gather_for_chat(struct watch_desk *desk, const char *line)
{
    size_t used = strlen(desk->chat_text);

    if (++desk->chat_told <= LINES_AT_ONCE)
        snprintf(desk->chat_text + used, sizeof desk->chat_text - used, "%s%s",
                 used > 0 ? "\n" : "", line);
}

static void
on_event(void *context, const struct event *event)
{
    struct watch_desk *desk = context;
    char line[LINE_SIZE];

    if (!desk->read_once)
        return; /* the page tells it */
    event_line(desk, event, line);
    if (++desk->told <= LINES_AT_ONCE)
        say(desk, line);
    if (desk->chat && event->finding->told_weight >= desk->session->file->tell.chat.from_weight)
        gather_for_chat(desk, line);
}

/* Runs what was marked and tells what came of it. */
static void
run_checks(struct watch_desk *desk)
{
    char text[sizeof desk->chat_text + 200];

    desk->told = desk->chat_told = 0;
    desk->chat_text[0] = '\0';
    engine_run(desk->session->engine, loop_now_ms(desk->room->loop), on_event, desk);
    if (desk->told > LINES_AT_ONCE) {
        snprintf(text, sizeof text, "and %d more at the same moment: a scene recall?",
                 desk->told - LINES_AT_ONCE);
        say(desk, text);
    }
    if (desk->chat_told == 0)
        return;
    snprintf(text, sizeof text, "%s: %s", session_name(desk->session), desk->chat_text);
    if (desk->chat_told > LINES_AT_ONCE)
        snprintf(text + strlen(text), sizeof text - strlen(text),
                 "\nand %d more at the same moment", desk->chat_told - LINES_AT_ONCE);
    chat_say(desk->chat, text);
}

/* Not while the desk is being read, since half a desk proves nothing. */
static bool
may_judge(const struct watch_desk *desk)
{
    return desk->read_once && link_state(desk->link) != LINK_READING && !desk->stopping;
}

static void
on_settled(void *context)
{
    struct watch_desk *desk = context;

    desk->settling = false;
    if (may_judge(desk))
        run_checks(desk);
}

/* A scene recall comes in many datagrams, so the first change only starts the settling. */
void
watch_desk_before_sleep(struct watch_desk *desk)
{
    if (desk->settling || !may_judge(desk) || engine_marked(desk->session->engine) == 0)
        return;
    desk->settling = true;
    loop_timer_start(desk->settle, SETTLE_MS, 0);
}

/* ---- what is open ---- */

/* "1 to stop for, 4 to fix, 6 notes, 0 not known" */
static const char *
count_open(const struct watch_desk *desk, char line[200])
{
    const struct finding *const *findings;
    size_t count = engine_findings(desk->session->engine, &findings);
    size_t weights[WEIGHTS] = {0}, unknown = 0;

    for (size_t i = 0; i < count; i++)
        weights[findings[i]->verdict.weight] += findings[i]->accept < 0;
    for (int check = 0; check < check_count; check++)
        unknown += engine_count(desk->session->engine, check, OUTCOME_NOT_KNOWN);
    snprintf(line, 200, "%zu to stop for, %zu to fix, %zu to know, %zu not known",
             weights[WEIGHT_STOP], weights[WEIGHT_FIX], weights[WEIGHT_NOTE], unknown);
    return line;
}

void
watch_desk_still(struct watch_desk *desk)
{
    struct link_figures figures = link_figures(desk->link);
    const struct desk *model = engine_desk(desk->session->engine);
    char open[200], span[CLOCK_SIZE], line[500];

    if (may_judge(desk))
        run_checks(desk);
    if (figures.last_heard_ms < 0)
        snprintf(line, sizeof line, "still watching: the desk was never heard");
    else
        snprintf(line, sizeof line,
                 "still watching: %s; %zu values known, %zu stale; desk heard %s ago",
                 count_open(desk, open), desk_count_state(model, VALUE_KNOWN),
                 desk_count_state(model, VALUE_STALE),
                 clock_span(loop_now_ms(desk->room->loop) - figures.last_heard_ms, span));
    say(desk, line);
}

void
watch_desk_new_day(struct watch_desk *desk)
{
    engine_set_day(desk->session->engine, clock_day());
}

/* ---- the link ---- */

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
    say_to_all(desk, line);
}

static void
say_first(struct watch_desk *desk)
{
    struct report report = {desk->session, link_figures(desk->link), desk->room->options->all};
    char open[200], line[300];

    engine_run(desk->session->engine, loop_now_ms(desk->room->loop), on_event, desk);
    report_text(&report);
    putchar('\n');
    snprintf(line, sizeof line, "watching: %s", count_open(desk, open));
    say_to_all(desk, line);
    desk->read_once = true;
}

/* Notes a loss. True when it is one of so many that it is no news any more. */
static bool
begins_to_flap(struct watch_desk *desk, int64_t now_ms)
{
    int64_t before_ms;
    char span[CLOCK_SIZE], steady[CLOCK_SIZE], line[300];

    desk->lost_at_ms[desk->losses++ % FLAP_LOSSES] = now_ms;
    if (desk->flapping || !desk->read_once || desk->losses < FLAP_LOSSES)
        return desk->flapping;
    before_ms = desk->lost_at_ms[desk->losses % FLAP_LOSSES]; /* the oldest of the ring */
    if (now_ms - before_ms > FLAP_WITHIN_MS)
        return false;
    desk->flapping = true;
    snprintf(line, sizeof line,
             "the desk comes and goes: lost %d times in %s. Told again when it has been there, or "
             "gone, for %s",
             FLAP_LOSSES, clock_span(now_ms - before_ms, span), clock_span(FLAP_STEADY_MS, steady));
    say_to_all(desk, line);
    return true;
}

/* The link has been in one state for so long that its coming and going is over. */
static void
on_flap_over(void *context)
{
    struct watch_desk *desk = context;
    char open[200], line[400];

    if (!desk->flapping)
        return;
    desk->flapping = false;
    desk->losses = 0;
    if (link_state(desk->link) == LINK_LOST)
        snprintf(line, sizeof line, "the desk has been gone for a minute; every value is stale");
    else
        snprintf(line, sizeof line, "the desk has been there for a minute: %s",
                 count_open(desk, open));
    say_to_all(desk, line);
}

static void
on_lost(struct watch_desk *desk, enum link_state from, const char *why)
{
    desk->lost_ms = loop_now_ms(desk->room->loop);
    if (!begins_to_flap(desk, desk->lost_ms))
        say_lost(desk, from, why);
}

static void
on_back(struct watch_desk *desk)
{
    char span[CLOCK_SIZE], line[200];

    snprintf(line, sizeof line, "the desk is back after %s, reading all of it",
             clock_span(loop_now_ms(desk->room->loop) - desk->lost_ms, span));
    if (!desk->flapping)
        say_to_all(desk, line);
}

static void
on_read_again(struct watch_desk *desk)
{
    char open[200], line[300];

    run_checks(desk);
    snprintf(line, sizeof line, "the desk was read again: %s", count_open(desk, open));
    if (!desk->flapping)
        say(desk, line);
}

static void
on_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    struct watch_desk *desk = context;

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
            say_first(desk);
        break;
    case LINK_LOST:
        on_lost(desk, from, why);
        break;
    }
    if (desk->flapping)
        loop_timer_start(desk->flap, FLAP_STEADY_MS, 0);
}

static void
on_reject(void *context, const char *reason, const uint8_t *bytes, size_t length)
{
    struct watch_desk *desk = context;
    char line[REJECT_LINE_SIZE];

    if (reject_log_note(&desk->rejects, loop_now_ms(desk->room->loop), reason, bytes, length, line))
        fprintf(stderr, "gainwarden: %s%s%s\n",
                desk->room->several ? session_name(desk->session) : "",
                desk->room->several ? ": " : "", line);
}

/* ---- opening and closing ---- */

/* The chat hook, when the show file names one. False when it cannot be used as it stands. */
static bool
open_chat(struct watch_desk *desk)
{
    struct show_file *file = desk->session->file;
    struct problems problems;
    bool good;

    if (!file || !file->tell.chat.url_env)
        return true;
    problems_init(&problems);
    desk->chat = chat_open(desk->room->loop, &file->tell.chat, on_chat_trouble, desk, &problems);
    problems_print(&problems, stderr);
    good = problems.count == 0;
    problems_release(&problems);
    return good;
}

struct watch_desk *
watch_desk_open(const struct watch_room *room, struct session *session)
{
    struct watch_desk *desk = calloc(1, sizeof *desk);
    struct link_owner owner = {.changed = on_state, .rejected = on_reject, .context = desk};

    if (!desk)
        abort();
    desk->room = room;
    desk->session = session;
    if (!open_chat(desk)) {
        watch_desk_close(desk);
        return NULL;
    }
    desk->settle = loop_timer_open(room->loop, on_settled, desk);
    desk->flap = loop_timer_open(room->loop, on_flap_over, desk);
    desk->link = link_open(room->loop, session->profile, session->engine, session->host,
                           session->port, owner);
    if (!desk->link)
        abort();
    return desk;
}

void
watch_desk_close(struct watch_desk *desk)
{
    if (!desk)
        return;
    link_close(desk->link);
    chat_close(desk->chat);
    loop_timer_close(desk->settle);
    loop_timer_close(desk->flap);
    free(desk);
}

void
watch_desk_stop(struct watch_desk *desk, int64_t lasted_ms)
{
    char span[CLOCK_SIZE], line[200];

    if (may_judge(desk))
        run_checks(desk);
    snprintf(line, sizeof line, "stopped watching after %s", clock_span(lasted_ms, span));
    say_to_all(desk, line);
    desk->stopping = true;
}

bool
watch_desk_idle(const struct watch_desk *desk)
{
    return !desk->chat || chat_idle(desk->chat);
}
