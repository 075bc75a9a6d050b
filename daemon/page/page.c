/* SPDX-License-Identifier: MIT */
#include "page/page.h"

#include "page/html.h"
#include "report/report.h"

/* ---- accepted ---- */

static void
add_accept(FILE *page, const struct report_findings *findings, const struct finding *finding)
{
    const struct accept *accept = &engine_show(findings->engine)->accepts[finding->accept];
    char object[REPORT_OBJECT_SIZE];
    struct words words;

    engine_words(findings->engine, finding, &words);
    html_add(page, "<p><bdi>%s</bdi>: %s. <em><bdi>%s</bdi></em>%s<bdi>%s</bdi>%s</p>\n",
             report_object(findings->engine, finding->object, object), words.says, accept->why,
             *accept->by ? " (" : "", accept->by, *accept->by ? ")" : "");
}

/* Entries that have ended or match nothing, so that "why was I told?" has an answer. Returns how
 * many. */
static size_t
add_idle(FILE *page, const struct engine *engine)
{
    const struct show *show = engine_show(engine);
    size_t count = 0;

    for (int i = 0; i < show->accept_count; i++) {
        const char *idle = report_accept_idle(engine, i);

        if (!idle)
            continue;
        html_add(page, "<p>accept[%d] %s: %s (<bdi>%s</bdi>)</p>\n", i,
                 check_name(show->accepts[i].check), idle, show->accepts[i].why);
        count++;
    }
    return count;
}

static void
add_accepted(FILE *page, const struct report_findings *findings)
{
    size_t told = findings->accepted_count;

    if (engine_show(findings->engine)->accept_count == 0)
        return;
    html_add(page, "<section id=\"accepted\">\n<h2>Accepted in the show file</h2>\n");
    for (size_t i = 0; i < findings->accepted_count; i++)
        add_accept(page, findings, findings->list[findings->open_count + i]);
    told += add_idle(page, findings->engine);
    if (told == 0)
        html_add(page, "<p>Not judged: what it rests on is not known.</p>\n");
    html_add(page, "</section>\n");
}

/* ---- not known ---- */

struct unknown {
    FILE *page;
    const struct engine *engine;
};

static void
add_unknown(void *context, const struct check *check, struct object object, const char *why)
{
    const struct unknown *unknown = context;
    char name[REPORT_OBJECT_SIZE];

    html_add(unknown->page, "<li><bdi>%s</bdi>, %s: %s</li>\n",
             report_object(unknown->engine, object, name), check->id, why);
}

static void
add_not_known(FILE *page, const struct report_findings *findings)
{
    struct unknown unknown = {page, findings->engine};

    html_add(page, "<section id=\"not-known\">\n<h2>Not known (%zu)</h2>\n", findings->unknown);
    fputs(findings->unknown > 0 ? "<ul>\n" : "<p>Everything the checks asked for was heard.</p>\n",
          page);
    engine_unknown(findings->engine, add_unknown, &unknown);
    if (findings->unknown > 0)
        html_add(page, "</ul>\n");
    html_add(page, "</section>\n");
}

void
page_add_aside(FILE *page, const struct report_findings *findings)
{
    add_accepted(page, findings);
    add_not_known(page, findings);
}

/* ---- right ---- */

void
page_add_right(FILE *page, const struct report_findings *findings)
{
    const struct engine *engine = findings->engine;
    size_t closed = 0, passed = 0;
    char says[REPORT_CLOSED_SIZE];

    html_add(page, "<section id=\"right\">\n<h2>Right</h2>\n");
    for (int check = 0; check < CHECKS; check++) {
        size_t count = engine_count(engine, check, OUTCOME_PASS);

        closed += engine_count(engine, check, OUTCOME_CLOSED);
        if (count == 0)
            continue;
        if (passed == 0)
            html_add(page, "<ul class=\"tally good\">");
        html_add(page, "<li>%s %zu</li>", check_name(check), count);
        passed += count;
    }
    fputs(passed > 0 ? "</ul>\n" : "<p>Nothing that is known.</p>\n", page);
    if (closed > 0)
        html_add(page, "<p class=\"soft\">%s.</p>\n", report_closed(closed, says));
    html_add(page, "</section>\n");
}

/* ---- pictures and the end ---- */

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
