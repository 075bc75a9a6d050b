/* SPDX-License-Identifier: MIT */
/* The stage as a page to look at: what rings first, the stage from above, what can be had and what
 * helps.
 */
#include "base/clock.h"
#include "page/html.h"
#include "page/page.h"
#include "page/stage.h"
#include "report/report.h"

static void
add_silent(FILE *page, const struct stage_report *report)
{
    char silent[REPORT_SILENT_SIZE];

    if (report->session->host && *report_silent(report->figures, silent))
        html_add(page, "<p><strong>%s</strong></p>\n", silent);
}

void
stage_report_html(const struct stage_report *report, FILE *page)
{
    const struct session *session = report->session;
    char when[CLOCK_SIZE], says[PAGE_STAGE_SIZE];
    struct reading reading = {engine_show(session->engine)->name, session->profile->desk,
                              session_at(session, when), engine_desk(session->engine)};

    html_begin(page, session_name(session));
    page_reading(page, &reading);
    page_title(page, page_stage_sentence(report, says));
    add_silent(page, report);
    html_add(page, "</header>\n<main class=\"only\">\n"
                   "<section id=\"stage\">\n<h2>The stage</h2>\n");
    page_add_stage(page, report);
    html_add(page, "</section>\n");
    page_add_stage_levels(page, report);
    page_add_stage_helps(page, report);
    page_add_stage_hands(page, report);
    page_care(page);
    html_end(page);
}
