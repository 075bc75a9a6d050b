/* SPDX-License-Identifier: MIT */
/* The audit as a page to look at: findings first, then what is not known, then what is right, then
 * the pictures, then one page a player.
 */
#include "report/report.h"

#include "base/clock.h"
#include "page/draw.h"
#include "page/html.h"
#include "page/page.h"

static void
add_source(FILE *page, const struct report *report)
{
    const struct session *session = report->session;
    const struct link_figures *figures = &report->figures;
    char answered[REPORT_ANSWERED_SIZE], reading[SESSION_SOURCE_SIZE + CLOCK_SIZE];

    session_reading(session, reading);
    html_add(page, "<p class=\"soft\"><bdi>%s</bdi>.", reading);
    if (session->host)
        html_add(page, " %s.", report_answered(figures, answered));
    if (session->host && figures->last_heard_ms < 0)
        html_add(page, " <strong>The desk was never heard: %s</strong>", report_silent_words);
    html_add(page, "</p>\n");
}

/* The parameters that are so, in one line behind the words. */
static void
add_params(FILE *page, const struct desk *desk, report_is_fn *is, const char *words)
{
    bool begun = false;

    for (int id = 0; id < PARAMS; id++) {
        if (!is(desk, (enum param_id)id))
            continue;
        if (!begun)
            html_add(page, "<p class=\"soft\">%s ", words);
        html_add(page, "%s%s", begun ? ", " : "", params[id].name);
        begun = true;
    }
    if (begun)
        html_add(page, ".</p>\n");
}

struct rejects {
    FILE *page;
    bool begun;
};

static void
add_reject(void *context, const char *reason, uint64_t count)
{
    struct rejects *rejects = context;

    fputs(rejects->begun ? "," : "<p class=\"soft\">Refused:", rejects->page);
    html_add(rejects->page, " %s %zu", reason, (size_t)count);
    rejects->begun = true;
}

static void
add_rejects(FILE *page, const struct link_figures *figures)
{
    struct rejects rejects = {page, false};

    report_rejects(figures, add_reject, &rejects);
    if (rejects.begun)
        html_add(page, ".</p>\n");
}

void
report_html(const struct report *report, FILE *page)
{
    struct engine *engine = report->session->engine;
    struct draw draw = {page, engine_desk(engine), engine_show(engine)};
    struct report_findings findings = report_findings_of(engine, report->all ? PLAN_SMALL_TOO : 0);

    html_begin(page, session_name(report->session));
    html_add(page, "<header>\n<h1><bdi>%s</bdi></h1>\n", session_name(report->session));
    add_source(page, report);
    page_tally(page, &findings);
    page_contents(page, &findings, NULL);
    html_add(page, "</header>\n<main>\n");
    page_add_findings(page, &findings);
    page_add_cards(page, &findings);
    page_add_accepted(page, &findings);
    page_add_not_known(page, &findings);
    page_add_right(page, &findings);
    add_params(page, draw.desk, report_is_absent, report_absent_words);
    add_params(page, draw.desk, report_is_endless, report_endless_words);
    add_rejects(page, &report->figures);
    page_care(page);
    page_add_pictures(&draw);
    page_add_players(page, &findings);
    html_add(page, "</main>\n");
    html_end(page);
    report_findings_release(&findings);
}
