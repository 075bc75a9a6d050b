/* `gainwarden watch`: stays with the desk and tells edges. */
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "chat.h"
#include "clock.h"
#include "commands.h"
#include "link.h"
#include "loop.h"
#include "output.h"
#include "report.h"
#include "session.h"

enum {
    LINES_AT_ONCE = 9, /* of one wake-up; a scene recall moves many */
    SETTLE_MS = 50,    /* what changes within this time is judged and told together */
    LINE_SIZE = 1400,
    DAY_MS = 60 * 1000,  /* how often the date is looked at */
    LAST_WORDS_MS = 2000 /* for the chat hook, at the end */
};

struct watch {
    struct loop *loop;
    struct session *session;
    struct link *link;
    struct chat *chat; /* NULL: none */
    const struct options *options;
    struct loop_timer *settle, *still, *day, *last_words;
    bool settling; /* the settle timer runs */
    int64_t begun_ms;
    int64_t lost_ms; /* since when the desk is lost */
    bool read_once;  /* the first page was printed */
    bool stopping;
    int told, chat_told;  /* lines of this wake-up */
    char chat_text[4000]; /* what this wake-up tells the hook */
};

/* ---- telling ---- */

/* One line with the time before it. A terminal that is gone ends the watch. */
static void
say(struct watch *watch, const char *line)
{
    char when[CLOCK_SIZE], timed[LINE_SIZE + CLOCK_SIZE];

    snprintf(timed, sizeof timed, "%s %s", clock_time(when), line);
    output_line(9, timed);
    if (!output_finish() && !watch->stopping) {
        watch->stopping = true;
        loop_stop(watch->loop);
    }
}

static void
say_to_all(struct watch *watch, const char *line)
{
    char text[LINE_SIZE + 100];

    say(watch, line);
    if (!watch->chat)
        return;
    snprintf(text, sizeof text, "%s: %s", session_name(watch->session), line);
    chat_say(watch->chat, text);
}

static void
on_chat_trouble(void *context, const char *line)
{
    say(context, line);
}

static const char *
event_line(const struct watch *watch, const struct event *event, char line[LINE_SIZE])
{
    const struct finding *finding = event->finding;
    const char *id = checks[finding->check]->id;
    char object[REPORT_OBJECT_SIZE], player[SHOW_NAME_SIZE], span[CLOCK_SIZE];

    report_object(watch->session->engine, finding->object, object);
    report_player(watch->session->engine, finding, player);
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
gather_for_chat(struct watch *watch, const char *line)
{
    size_t used = strlen(watch->chat_text);

    if (++watch->chat_told <= LINES_AT_ONCE)
        snprintf(watch->chat_text + used, sizeof watch->chat_text - used, "%s%s",
                 used > 0 ? "\n" : "", line);
}

static void
on_event(void *context, const struct event *event)
{
    struct watch *watch = context;
    char line[LINE_SIZE];

    if (!watch->read_once)
        return; /* the page tells it */
    event_line(watch, event, line);
    if (++watch->told <= LINES_AT_ONCE)
        say(watch, line);
    if (watch->chat && event->finding->told_weight >= watch->session->file->chat.from_weight)
        gather_for_chat(watch, line);
}

/* Runs what was marked and tells what came of it. */
static void
run_checks(struct watch *watch)
{
    char text[sizeof watch->chat_text + 200];

    watch->told = watch->chat_told = 0;
    watch->chat_text[0] = '\0';
    engine_run(watch->session->engine, loop_now_ms(watch->loop), on_event, watch);
    if (watch->told > LINES_AT_ONCE) {
        snprintf(text, sizeof text, "and %d more at the same moment: a scene recall?",
                 watch->told - LINES_AT_ONCE);
        say(watch, text);
    }
    if (watch->chat_told == 0)
        return;
    snprintf(text, sizeof text, "%s: %s", session_name(watch->session), watch->chat_text);
    if (watch->chat_told > LINES_AT_ONCE)
        snprintf(text + strlen(text), sizeof text - strlen(text),
                 "\nand %d more at the same moment", watch->chat_told - LINES_AT_ONCE);
    chat_say(watch->chat, text);
}

/* Not while the desk is being read, since half a desk proves nothing. */
static bool
may_judge(const struct watch *watch)
{
    return watch->read_once && link_state(watch->link) != LINK_READING && !watch->stopping;
}

static void
on_settled(void *context)
{
    struct watch *watch = context;

    watch->settling = false;
    if (may_judge(watch))
        run_checks(watch);
}

/* Before the loop sleeps: a scene recall comes in many datagrams, so the first change only starts
 * the settling. */
static void
on_before_sleep(void *context)
{
    struct watch *watch = context;

    if (watch->settling || !may_judge(watch) || engine_marked(watch->session->engine) == 0)
        return;
    watch->settling = true;
    loop_timer_start(watch->settle, SETTLE_MS, 0);
}

/* ---- what is open ---- */

/* "1 to stop for, 4 to fix, 6 notes, 0 not known" */
static const char *
count_open(const struct watch *watch, char line[200])
{
    const struct finding *const *findings;
    size_t count = engine_findings(watch->session->engine, &findings);
    size_t weights[WEIGHTS] = {0}, unknown = 0;

    for (size_t i = 0; i < count; i++)
        weights[findings[i]->verdict.weight] += findings[i]->accept < 0;
    for (int check = 0; check < check_count; check++)
        unknown += engine_count(watch->session->engine, check, OUTCOME_NOT_KNOWN);
    snprintf(line, 200, "%zu to stop for, %zu to fix, %zu to know, %zu not known",
             weights[WEIGHT_STOP], weights[WEIGHT_FIX], weights[WEIGHT_NOTE], unknown);
    return line;
}

static void
on_still(void *context)
{
    struct watch *watch = context;
    struct link_figures figures = link_figures(watch->link);
    const struct desk *desk = engine_desk(watch->session->engine);
    char open[200], span[CLOCK_SIZE], line[500];

    if (may_judge(watch))
        run_checks(watch);
    if (figures.last_heard_ms < 0)
        snprintf(line, sizeof line, "still watching: the desk was never heard");
    else
        snprintf(line, sizeof line,
                 "still watching: %s; %zu values known, %zu stale; desk heard %s ago",
                 count_open(watch, open), desk_count_state(desk, VALUE_KNOWN),
                 desk_count_state(desk, VALUE_STALE),
                 clock_span(loop_now_ms(watch->loop) - figures.last_heard_ms, span));
    say(watch, line);
}

static void
on_day(void *context)
{
    struct watch *watch = context;

    engine_set_day(watch->session->engine, clock_day());
}

/* ---- the link ---- */

static void
say_lost(struct watch *watch, enum link_state from, const char *why)
{
    char line[400];

    watch->lost_ms = loop_now_ms(watch->loop);
    if (watch->read_once)
        snprintf(
            line, sizeof line,
            "lost the desk: nothing heard for %d s (%s). Every value is stale; nothing is raised "
            "or cleared until the whole desk is read again",
            LINK_LOST_MS / 1000, why);
    else if (from == LINK_RESOLVING)
        snprintf(line, sizeof line, "the desk's host \"%s\" does not resolve (%s); trying on",
                 watch->session->host, why);
    else
        snprintf(line, sizeof line, "the desk at %s port %d does not answer (%s); trying on",
                 watch->session->host, watch->session->port, why);
    say_to_all(watch, line);
}

static void
say_first(struct watch *watch)
{
    struct report report = {watch->session, link_figures(watch->link), watch->options->all};
    char open[200], line[300];

    engine_run(watch->session->engine, loop_now_ms(watch->loop), on_event, watch);
    report_text(&report);
    putchar('\n');
    snprintf(line, sizeof line, "watching: %s", count_open(watch, open));
    say_to_all(watch, line);
    watch->read_once = true;
}

static void
on_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    struct watch *watch = context;
    char span[CLOCK_SIZE], open[200], line[400];

    switch (to) {
    case LINK_RESOLVING:
        break;
    case LINK_READING:
        if (from == LINK_LOST) {
            snprintf(line, sizeof line, "the desk is back after %s, reading all of it",
                     clock_span(loop_now_ms(watch->loop) - watch->lost_ms, span));
            say_to_all(watch, line);
        }
        break;
    case LINK_STEADY:
        if (!watch->read_once) {
            say_first(watch);
        } else {
            run_checks(watch);
            snprintf(line, sizeof line, "the desk was read again: %s", count_open(watch, open));
            say(watch, line);
        }
        break;
    case LINK_LOST:
        say_lost(watch, from, why);
        break;
    }
}

/* ---- the end ---- */

static void
on_last_words(void *context)
{
    struct watch *watch = context;

    if (!watch->chat || chat_idle(watch->chat) ||
        loop_now_ms(watch->loop) - watch->begun_ms >= LAST_WORDS_MS)
        loop_stop(watch->loop);
}

static void
on_interrupt(void *context, int number)
{
    struct watch *watch = context;
    char span[CLOCK_SIZE], line[200];

    (void)number;
    if (watch->stopping) { /* asked twice: at once */
        loop_stop(watch->loop);
        return;
    }
    if (may_judge(watch))
        run_checks(watch);
    snprintf(line, sizeof line, "stopped watching after %s",
             clock_span(loop_now_ms(watch->loop) - watch->begun_ms, span));
    say_to_all(watch, line);
    watch->stopping = true;
    watch->begun_ms = loop_now_ms(watch->loop); /* of the last words */
    loop_timer_start(watch->last_words, 0, 20);
}

static void
run(struct watch *watch)
{
    struct loop_signal *interrupt = loop_signal_open(watch->loop, SIGINT, on_interrupt, watch);
    struct loop_signal *terminate = loop_signal_open(watch->loop, SIGTERM, on_interrupt, watch);
    int64_t still_ms = (int64_t)(watch->options->still_every_s * 1000);

    watch->settle = loop_timer_open(watch->loop, on_settled, watch);
    watch->still = loop_timer_open(watch->loop, on_still, watch);
    watch->day = loop_timer_open(watch->loop, on_day, watch);
    watch->last_words = loop_timer_open(watch->loop, on_last_words, watch);
    if (still_ms > 0)
        loop_timer_start(watch->still, still_ms, still_ms);
    loop_timer_start(watch->day, DAY_MS, DAY_MS);
    loop_before_sleep(watch->loop, on_before_sleep, watch);
    loop_run(watch->loop);
    loop_before_sleep(watch->loop, NULL, NULL);
    loop_signal_close(interrupt);
    loop_signal_close(terminate);
    loop_timer_close(watch->settle);
    loop_timer_close(watch->still);
    loop_timer_close(watch->day);
    loop_timer_close(watch->last_words);
}

/* The chat hook, when the show file names one. False when it cannot be used as it stands. */
static bool
open_chat(struct watch *watch)
{
    struct show_file *file = watch->session->file;
    struct problems problems;
    bool good;

    if (!file || !file->chat.url_env)
        return true;
    problems_init(&problems);
    watch->chat = chat_open(watch->loop, &file->chat, on_chat_trouble, watch, &problems);
    problems_print(&problems, stderr);
    good = problems.count == 0;
    problems_release(&problems);
    return good;
}

static int
watch_session(struct session *session, const struct options *options)
{
    struct watch watch = {.loop = loop_new(), .session = session, .options = options};
    bool good;

    if (!watch.loop)
        abort();
    watch.begun_ms = loop_now_ms(watch.loop);
    setvbuf(stdout, NULL, _IOLBF, 0);
    good = open_chat(&watch);
    if (good) {
        watch.link = link_open(watch.loop, session->profile, session->engine, session->host,
                               session->port, on_state, &watch);
        if (!watch.link)
            abort();
        run(&watch);
    }
    link_close(watch.link);
    chat_close(watch.chat);
    if (!loop_free(watch.loop))
        abort();
    return good ? EXIT_CLEAN : EXIT_USAGE;
}

int
command_watch(const struct options *options)
{
    struct session session;
    int status = EXIT_USAGE;

    if (session_load(&session, options, true))
        status = watch_session(&session, options);
    session_release(&session);
    return status;
}
