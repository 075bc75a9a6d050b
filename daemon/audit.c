/* `gainwarden audit`: one reading, one report. */
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>

#include "commands.h"
#include "link.h"
#include "loop.h"
#include "report.h"
#include "session.h"

enum { PROGRESS_MS = 1000, SILENT_MS = 3000 };

struct audit {
    struct loop *loop;
    struct session *session;
    struct link *link;
    const struct options *options;
    int64_t begun_ms;
    bool interrupted;
};

static void
on_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    struct audit *audit = context;

    (void)from;
    (void)why;
    if (to == LINK_STEADY || to == LINK_LOST)
        loop_stop(audit->loop);
}

/* A desk that has said nothing by now will not; waiting longer helps nobody before doors. */
static void
on_progress(void *context)
{
    struct audit *audit = context;
    struct link_figures figures = link_figures(audit->link);
    int64_t now_ms = loop_now_ms(audit->loop);

    if (figures.last_heard_ms < 0 && now_ms - audit->begun_ms >= SILENT_MS)
        loop_stop(audit->loop);
    else
        fprintf(stderr, "gainwarden: %zu of %zu questions answered\n", figures.questions.heard,
                figures.questions.questions);
}

static void
on_end(void *context)
{
    struct audit *audit = context;

    fprintf(stderr, "gainwarden: the reading took %g s, ending it (--within)\n",
            audit->options->within_s);
    loop_stop(audit->loop);
}

static void
on_interrupt(void *context, int number)
{
    struct audit *audit = context;

    (void)number;
    audit->interrupted = true;
    loop_stop(audit->loop);
}

/* Reads the desk until it was read, is silent, or the time is over. */
static void
read_desk(struct audit *audit)
{
    struct loop_timer *progress = loop_timer_open(audit->loop, on_progress, audit);
    struct loop_timer *end = loop_timer_open(audit->loop, on_end, audit);
    struct loop_signal *interrupt = loop_signal_open(audit->loop, SIGINT, on_interrupt, audit);
    struct loop_signal *terminate = loop_signal_open(audit->loop, SIGTERM, on_interrupt, audit);

    loop_timer_start(progress, PROGRESS_MS, PROGRESS_MS);
    loop_timer_start(end, (int64_t)(audit->options->within_s * 1000), 0);
    loop_run(audit->loop);
    loop_timer_close(progress);
    loop_timer_close(end);
    loop_signal_close(interrupt);
    loop_signal_close(terminate);
}

static void
ignore(void *context, const struct event *event)
{
    (void)context;
    (void)event;
}

static int
write_report(struct audit *audit)
{
    struct report report = {audit->session, audit->link, audit->options->all};
    struct link_figures figures = link_figures(audit->link);

    if (!figures.resolved) {
        fprintf(stderr, "gainwarden: the desk's host \"%s\" does not resolve: %s\n",
                audit->session->host, figures.error ? figures.error : "no answer");
        return EXIT_USAGE;
    }
    engine_run(audit->session->engine, loop_now_ms(audit->loop), ignore, NULL);
    if (audit->options->format == FORMAT_JSON)
        report_json(&report);
    else
        report_text(&report);
    return report_status(&report);
}

static int
audit_session(struct session *session, const struct options *options)
{
    struct audit audit = {.loop = loop_new(), .session = session, .options = options};
    int status = EXIT_USAGE;

    if (!audit.loop)
        abort();
    audit.begun_ms = loop_now_ms(audit.loop);
    audit.link = link_open(audit.loop, session->profile, session->engine, session->host,
                           session->port, on_state, &audit);
    if (!audit.link)
        abort();
    read_desk(&audit);
    if (audit.interrupted)
        fputs("gainwarden: interrupted, no report\n", stderr);
    else
        status = write_report(&audit);
    link_close(audit.link);
    if (!loop_free(audit.loop))
        abort();
    return status;
}

int
command_audit(const struct options *options)
{
    struct session session;
    int status = EXIT_USAGE;

    if (session_load(&session, options))
        status = audit_session(&session, options);
    session_release(&session);
    return status;
}
