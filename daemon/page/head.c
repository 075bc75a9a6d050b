/* SPDX-License-Identifier: MIT */
/* The head of a page: what is seen within three seconds. */
#include <stdlib.h>

#include "page/headline.h"
#include "page/html.h"
#include "page/page.h"
#include "page/steps.h"

void
page_reading(FILE *page, const struct reading *reading)
{
    char when[17], heard[HEADLINE_HEARD_SIZE]; /* "2026-11-29T15:27": JSON has the rest */

    snprintf(when, sizeof when, "%s", reading->at);
    if (*when)
        when[10] = ' ';
    html_add(page, "<p class=\"reading\">");
    if (*reading->show)
        html_add(page, "<bdi>%s</bdi> \xc2\xb7 ", reading->show);
    html_add(page, "<bdi>%s</bdi> \xc2\xb7 <span class=\"when\">%s</span> \xc2\xb7 %s</p>\n",
             reading->desk, when, headline_heard(reading->heard, heard));
}

void
page_title(FILE *page, const char *sentence)
{
    html_add(page, "<h1><bdi>%s</bdi></h1>\n", sentence);
}

void
page_badge(FILE *page, enum weight weight)
{
    html_add(page, "<span class=\"badge %s\">", weight_name(weight));
}

void
page_badges(FILE *page, const struct report_findings *findings)
{
    static const char *const behind[WEIGHTS] = {"to know", "to fix before doors", "stop"};

    html_add(page, "<p class=\"badges\">");
    for (enum weight weight = WEIGHTS; weight-- > 0;) {
        if (findings->of[weight] == 0)
            continue;
        page_badge(page, weight);
        html_add(page, "%zu %s</span> ", findings->of[weight], behind[weight]);
    }
    if (findings->unknown > 0)
        html_add(page, "<span class=\"badge unknown\">%zu not known</span>", findings->unknown);
    else if (findings->open_count == 0)
        html_add(page, "<span class=\"badge good\">no findings</span>");
    html_add(page, "</p>\n");
}

void
page_first(FILE *page, const struct report_findings *findings)
{
    struct step *steps;
    size_t count = steps_of(findings, &steps);
    char action[STEP_ACTION_SIZE];

    if (count > 0 && steps[0].weight != WEIGHT_NOTE)
        html_add(
            page,
            "<p class=\"first at-%s\"><b>Do first:</b> <a href=\"#step-1\"><bdi>%s</bdi></a></p>\n",
            weight_name(steps[0].weight), step_action(findings, &steps[0], action));
    free(steps);
}

void
page_end_header(FILE *page, const struct report_findings *findings, const struct page_link *links)
{
    html_add(page, "<nav aria-label=\"On this page\">\n<ul>");
    for (; links->id; links++)
        html_add(page, "<li><a href=\"#%s\">%s</a></li>", links->id, links->name);
    page_add_player_links(page, findings);
    html_add(page, "</ul>\n</nav>\n</header>\n<main>\n");
}
