/* SPDX-License-Identifier: MIT */
/* The cards alone: large enough for a dark place, with a box for each move. */
#include "report/retrim.h"

#include "core/text.h"
#include "page/headline.h"
#include "page/html.h"
#include "page/page.h"
#include "report/report.h"

static const char *
title_of(const struct retrim *retrim, char says[HEADLINE_SIZE])
{
    size_t count = retrim->plan->count;
    struct text text;

    if (retrim_status(retrim) == EXIT_NOT_KNOWN)
        return headline_not_judged(engine_desk(retrim->session->engine), 0, says);
    text_init(&text, says, HEADLINE_SIZE);
    if (count == 0)
        text_add(&text, "Nothing to move.");
    else
        text_add(&text, "%zu card%s to set.", count, count == 1 ? "" : "s");
    return says;
}

void
retrim_html(const struct retrim *retrim, FILE *page)
{
    const struct session *session = retrim->session;
    struct report_findings findings = {.engine = session->engine, .plan = retrim->plan};
    char says[HEADLINE_SIZE], when[CLOCK_SIZE], silent[REPORT_SILENT_SIZE];
    struct reading reading = {engine_show(session->engine)->name, session->profile->desk,
                              session_at(session, when), engine_desk(session->engine)};

    html_begin(page, session_name(session));
    page_reading(page, &reading);
    page_title(page, title_of(retrim, says));
    if (session->host && *report_silent(retrim->figures, silent))
        html_add(page, "<p><strong>%s</strong></p>\n", silent);
    html_add(page, "</header>\n<main class=\"only\">\n");
    page_add_cards(page, &findings);
    page_care(page);
    html_end(page);
}
