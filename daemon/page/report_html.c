/* SPDX-License-Identifier: MIT */
/* The audit as a page to look at: findings first, then what is not known, then what is right, then
 * the pictures, then one page a player.
 */
#include "report/report.h"

#include "base/clock.h"
#include "page/html.h"
#include "page/page.h"

static void
add_source(FILE *page, const struct report *report)
{
    const struct session *session = report->session;
    const struct link_figures *figures = &report->figures;
    char silent[REPORT_SILENT_SIZE], answered[REPORT_ANSWERED_SIZE],
        reading[SESSION_SOURCE_SIZE + CLOCK_SIZE];

    session_reading(session, reading);
    html_add(page, "<p class=\"soft\"><bdi>%s</bdi>.", reading);
    if (session->host)
        html_add(page, " %s.", report_answered(figures, answered));
    if (session->host && *report_silent(figures, silent))
        html_add(page, " <strong>%s</strong>", silent);
    html_add(page, "</p>\n");
}

static void
add_sentence(FILE *page, const char *sentence)
{
    if (*sentence)
        html_add(page, "<p class=\"soft\">%s.</p>\n", sentence);
}

void
report_html(const struct report *report, FILE *page)
{
    struct engine *engine = report->session->engine;
    struct report_findings findings = report_findings_of(engine, report->all ? PLAN_SMALL_TOO : 0);
    const struct desk *desk = engine_desk(engine);
    char says[REPORT_PARAMS_SIZE], refused[REPORT_REFUSED_SIZE];

    html_begin(page, session_name(report->session));
    html_add(page, "<h1><bdi>%s</bdi></h1>\n", session_name(report->session));
    add_source(page, report);
    page_end_header(page, &findings, NULL);
    page_add_findings(page, &findings);
    page_add_cards(page, &findings);
    page_add_aside(page, &findings);
    page_add_right(page, &findings);
    add_sentence(page, report_params(desk, report_is_absent, report_absent_words, ",", says));
    add_sentence(page, report_params(desk, report_is_endless, report_endless_words, ",", says));
    add_sentence(page, report_refused(&report->figures, refused));
    page_add_pictures(page, &findings);
    page_end(page, &findings);
    report_findings_release(&findings);
}
