/* SPDX-License-Identifier: MIT */
#include "command/read_once.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>

#include "link/own_port.h"
#include "loop/loop.h"
#include "saved/file.h"
#include "show/agreement.h"

enum { PROGRESS_MS = 1000, SILENT_MS = 3000 };

struct reading {
    struct loop *loop;
    struct link *link;
    double within_s;
    int64_t begun_ms;
    size_t said; /* 1 + the answers that were told of last */
    bool interrupted;
};

static void
on_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    struct reading *reading = context;

    (void)from;
    (void)why;
    if (to == LINK_STEADY || to == LINK_LOST)
        loop_stop(reading->loop);
}

/* A desk that has said nothing by now will not; waiting longer helps nobody before doors. */
static void
on_progress(void *context)
{
    struct reading *reading = context;
    struct link_figures figures = link_figures(reading->link);
    int64_t now_ms = loop_now_ms(reading->loop);

    if (figures.last_heard_ms < 0 && now_ms - reading->begun_ms >= SILENT_MS)
        loop_stop(reading->loop);
    else if (reading->said != 1 + figures.questions.heard)
        fprintf(stderr, "gainwarden: %zu of %zu questions answered\n", figures.questions.heard,
                figures.questions.questions);
    reading->said = 1 + figures.questions.heard;
}

static void
on_end(void *context)
{
    struct reading *reading = context;

    fprintf(stderr, "gainwarden: the reading took %g s, ending it (--within)\n", reading->within_s);
    loop_stop(reading->loop);
}

static void
on_interrupt(void *context, int number)
{
    struct reading *reading = context;

    (void)number;
    reading->interrupted = true;
    loop_stop(reading->loop);
}

/* Reads the desk until it was read, is silent, or the time is over. */
static void
run(struct reading *reading)
{
    struct loop_timer *progress = loop_timer_open(reading->loop, on_progress, reading);
    struct loop_timer *end = loop_timer_open(reading->loop, on_end, reading);
    struct loop_signal *interrupt = loop_signal_open(reading->loop, SIGINT, on_interrupt, reading);
    struct loop_signal *terminate = loop_signal_open(reading->loop, SIGTERM, on_interrupt, reading);

    loop_timer_start(progress, PROGRESS_MS, PROGRESS_MS);
    loop_timer_start(end, (int64_t)(reading->within_s * 1000), 0);
    loop_run(reading->loop);
    loop_timer_close(progress);
    loop_timer_close(end);
    loop_signal_close(interrupt);
    loop_signal_close(terminate);
}

/* The values of a saved saved, as if they had just been heard. */
static bool
read_saved(struct session *session, const char *path)
{
    struct problems problems = {0};
    struct saved *saved;
    bool good;

    saved = saved_file_read(path, &problems);
    good = saved && saved_file_fits(saved, engine_desk(session->engine), path, &problems);
    if (good) {
        engine_take_values(session->engine, saved->desk);
        engine_run(session->engine, 0, NULL, NULL);
        memcpy(session->saved_at, saved->at, sizeof session->saved_at);
    }
    problems_tell(&problems);
    saved_free(saved);
    return good;
}

bool
read_once(struct session *session, const struct options *options, struct link_figures *figures)
{
    struct reading reading = {.loop = NULL, .within_s = options->within_s};

    *figures = (struct link_figures){.resolved = true};
    if (options->saved)
        return read_saved(session, options->saved);
    if (!own_port_is_free(&session->profile->link) || !agreement_begin(session, options))
        return false;
    reading.loop = loop_new();
    reading.begun_ms = loop_now_ms(reading.loop);
    reading.link =
        link_open(reading.loop, session->profile, session->engine, session->host, session->port,
                  (struct link_owner){.changed = on_state, .context = &reading});
    run(&reading);
    engine_run(session->engine, loop_now_ms(reading.loop), NULL, NULL);
    *figures = link_figures(reading.link);
    link_close(reading.link);
    loop_free(reading.loop);
    if (reading.interrupted)
        fputs("gainwarden: interrupted, no report\n", stderr);
    else if (!figures->resolved)
        fprintf(stderr, "gainwarden: the desk's host \"%s\" does not resolve: %s\n", session->host,
                figures->error ? figures->error : "no answer");
    return !reading.interrupted && figures->resolved;
}
