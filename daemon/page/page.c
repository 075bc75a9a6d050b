/* SPDX-License-Identifier: MIT */
#include "page/page.h"

#include "page/html.h"
#include "report/report.h"

void
page_care(FILE *page)
{
    html_add(page, "<p class=\"care\">%s</p>\n", report_care_words);
}

void
page_add_pictures(FILE *page, const struct report_findings *findings)
{
    struct draw draw = {page, engine_desk(findings->engine), engine_show(findings->engine)};

    html_add(page,
             "<div class=\"drawn\">\n<section id=\"preamps\">\n<h2>Where preamp gain goes</h2>\n");
    draw_preamps(&draw);
    html_add(page, "</section>\n<section id=\"sends\">\n<h2>Sends</h2>\n");
    draw_sends(&draw);
    html_add(page, "</section>\n<section id=\"equalisers\">\n<h2>Equalisers of the mixes</h2>\n");
    draw_equalisers(&draw);
    html_add(page, "</section>\n</div>\n");
}

void
page_end(FILE *page, const struct report_findings *findings, const struct reading *reading)
{
    page_add_players(page, findings, reading);
    html_end(page);
}
