/* SPDX-License-Identifier: MIT */
/* The audit as a page to look at: the verdict, the mixes, what to do, where gain goes, what was
 * right; then one sheet a player.
 */
#include "report/report.h"

#include "base/clock.h"
#include "page/headline.h"
#include "page/html.h"
#include "page/page.h"
#include "page/stage.h"

static void
add_silent(FILE *page, const struct report *report)
{
    char silent[REPORT_SILENT_SIZE];

    if (report->session->host && *report_silent(&report->figures, silent))
        html_add(page, "<p><strong>%s</strong></p>\n", silent);
}

/* Without a plan, and with one. */
static const struct page_link links[2][8] = {
    {{"mixes", "mixes"},
     {"do", "what to do"},
     {"preamps", "preamps"},
     {"sends", "sends"},
     {"equalisers", "equalisers"},
     {"right", "right"},
     {NULL, NULL}},
    {{"mixes", "mixes"},
     {"do", "what to do"},
     {"preamps", "preamps"},
     {"sends", "sends"},
     {"equalisers", "equalisers"},
     {"stage", "stage"},
     {"right", "right"},
     {NULL, NULL}},
};

static void
add_head(FILE *page, const struct report *report, const struct report_findings *findings,
         const struct reading *reading)
{
    char says[HEADLINE_SIZE];

    html_begin(page, session_name(report->session));
    page_reading(page, reading);
    page_title(page, headline(findings, says));
    page_badges(page, findings);
    add_silent(page, report);
    page_first(page, findings);
    page_end_header(page, findings, links[engine_show(report->session->engine)->stage != NULL]);
}

/* Nothing without a plan. */
static void
add_stage(FILE *page, const struct report *report)
{
    char says[PAGE_STAGE_SIZE];
    struct stage_report stage;

    if (!engine_show(report->session->engine)->stage)
        return;
    stage_report_make(&stage, report->session, &report->figures);
    html_add(page, "<section id=\"stage\">\n<h2>The stage</h2>\n<p><bdi>%s</bdi></p>\n",
             page_stage_sentence(&stage, says));
    page_add_stage(page, &stage);
    html_add(page, "</section>\n");
    stage_report_release(&stage);
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
    char says[REPORT_PARAMS_SIZE], refused[REPORT_REFUSED_SIZE], when[CLOCK_SIZE];
    struct reading reading = {engine_show(engine)->name, report->session->profile->desk,
                              session_at(report->session, when), desk};

    add_head(page, report, &findings, &reading);
    page_add_mixes(page, &findings);
    page_add_proved(page, engine);
    page_add_steps(page, &findings);
    page_add_pictures(page, &findings);
    add_stage(page, report);
    page_add_cards(page, &findings);
    page_add_right(page, &findings);
    page_add_aside(page, &findings);
    add_sentence(page, report_params(desk, report_is_absent, report_absent_words, ",", says));
    add_sentence(page, report_params(desk, report_is_endless, report_endless_words, ",", says));
    add_sentence(page, report_refused(&report->figures, refused));
    page_care(page);
    page_end(page, &findings, &reading);
    report_findings_release(&findings);
}
