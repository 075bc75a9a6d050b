/* SPDX-License-Identifier: MIT */
/* A sheet to look at: the marks and what each was for, then what the audit's page shows. */
#include <math.h>

#include "core/text.h"
#include "page/html.h"
#include "page/page.h"
#include "report/cards.h"
#include "report/report.h"
#include "review/review.h"

/* ---- marks ---- */

void
review_bar(FILE *page, const struct score_group *group)
{
    double all = group->earned_tenths + group->lost_tenths + group->open_tenths;
    double scale = all > 0 ? 100 / all : 0;
    double earned = group->earned_tenths * scale, lost = group->lost_tenths * scale;

    html_add(page,
             "<td class=\"bars\"><svg class=\"bar\" viewBox=\"0 0 100 8\" aria-hidden=\"true\">"
             "<rect class=\"earned\" x=\"0\" y=\"0\" width=\"%.2f\" height=\"8\"/>"
             "<rect class=\"away\" x=\"%.2f\" y=\"0\" width=\"%.2f\" height=\"8\"/>"
             "<rect class=\"open\" x=\"0.3\" y=\"0.3\" width=\"99.4\" height=\"7.4\"/></svg>"
             "</td></tr>\n",
             earned, earned, lost);
}

void
review_scheme(FILE *page, const struct scheme *scheme)
{
    html_add(page, "Scheme: <bdi>%s</bdi>, version <bdi>%s</bdi>, SHA-256 %s</p>\n", scheme->name,
             scheme->version, scheme->sha256);
}

static void
add_group(FILE *page, const char *name, const struct score_group *group)
{
    html_add(page,
             "<tr><th scope=\"row\"><bdi>%s</bdi></th><td>%f</td><td>%f</td><td>%f</td><td>%f</td>",
             name, group->earned_tenths / 10.0, group->lost_tenths / 10.0,
             group->open_tenths / 10.0,
             (group->earned_tenths + group->lost_tenths + group->open_tenths) / 10.0);
    review_bar(page, group);
}

static void
add_marks(FILE *page, const struct setup *setup)
{
    char says[REVIEW_NO_PASS_SIZE];

    html_add(page,
             "<section id=\"marks\">\n<h2>Marks for the settings</h2>\n<p><strong>%s."
             "</strong></p>\n",
             review_mark(&setup->score->total, says));
    if (*review_no_pass(setup, says))
        html_add(page, "<p class=\"stop\">%s</p>\n", says);
    html_add(page, "<section class=\"scroll\" tabindex=\"0\" aria-label=\"Marks\">\n"
                   "<table>\n<thead><tr><th scope=\"col\" class=\"words\">group</th>"
                   "<th scope=\"col\">earned</th><th scope=\"col\">lost</th>"
                   "<th scope=\"col\">not assessed</th><th scope=\"col\">of</th>"
                   "<th scope=\"col\"><span class=\"unseen\">as a bar</span></th></tr></thead>\n"
                   "<tbody>\n");
    for (int i = 0; i < setup->scheme->group_count; i++)
        add_group(page, setup->scheme->groups[i].name, &setup->score->groups[i]);
    html_add(page, "</tbody>\n<tbody class=\"sum\">\n");
    add_group(page, "all settings", &setup->score->total);
    html_add(page,
             "</tbody>\n</table>\n</section>\n<p class=\"soft\">Not assessed is what was not "
             "there to be judged, was not known, or is accepted in the show file: neither earned "
             "nor lost. %s</p>\n</section>\n",
             review_open(&setup->score->total, says));
}

/* ---- what it cost ---- */

static void
add_line(FILE *page, const struct setup *setup, const struct score_line *line)
{
    const struct verdict *verdict = &line->finding->verdict;
    const char *weight = weight_name(verdict->weight);
    char object[REPORT_OBJECT_SIZE], why[REVIEW_WHY_SIZE];
    struct words words;

    engine_words(setup->engine, line->finding, &words);
    cards_cure(setup->plan, line->finding, &words);
    html_add(page,
             "<li class=\"at-%s\"><p><span class=\"badge %s\">%f mark%s</span> <strong><bdi>%s"
             "</bdi></strong>: %s.%s</p>\n",
             weight, weight, line->lost_tenths / 10.0, line->lost_tenths == 10 ? "" : "s",
             report_object(setup->engine, line->finding->object, object), words.says,
             report_kind_mark(line->finding));
    if (*review_why(setup, line, why))
        html_add(page, "<p class=\"soft\">%s.</p>\n", why);
    if (line->why == SCORE_SAME_CAUSE) { /* the other line has the rest */
        html_add(page, "</li>\n");
        return;
    }
    html_add(page, "<p class=\"do\">%s</p>\n", words.cure);
    page_add_teaching(page, line->finding);
    html_add(page, "</li>\n");
}

static void
add_lost(FILE *page, const struct setup *setup)
{
    const struct scheme *scheme = setup->scheme;
    char says[REVIEW_UNMARKED_SIZE];

    html_add(page, "<section id=\"findings\">\n<h2>What it cost</h2>\n");
    if (setup->score->line_count == 0)
        html_add(page, "<p>Nothing.</p>\n");
    for (int group = 0; group < scheme->group_count; group++) {
        bool begun = false;

        for (size_t i = 0; i < setup->score->line_count; i++) {
            if (setup->score->lines[i].group != group)
                continue;
            if (!begun)
                html_add(page, "<h3><bdi>%s</bdi></h3>\n<ol class=\"findings\">\n",
                         scheme->groups[group].name);
            begun = true;
            add_line(page, setup, &setup->score->lines[i]);
        }
        if (begun)
            html_add(page, "</ol>\n");
    }
    if (setup->score->unmarked > 0)
        html_add(page, "<p class=\"soft\">%s.</p>\n", review_unmarked(setup, says));
    html_add(page, "</section>\n");
}

/* ---- next time, and what was right ---- */

static void
add_next(FILE *page, const struct setup *setup)
{
    struct review_next next[REVIEW_NEXT];
    int count = review_next(setup, next);
    char says[REVIEW_NEXT_SIZE];

    if (count == 0)
        return;
    html_add(page, "<section id=\"next\">\n<h2>Next time, first things first</h2>\n<ol>\n");
    for (int i = 0; i < count; i++)
        html_add(page, "<li><bdi>%s</bdi></li>\n", review_next_says(setup, &next[i], says));
    html_add(page, "</ol>\n</section>\n");
}

static void
add_wishes(FILE *page, const struct setup *setup)
{
    if (setup->score->wish_count == 0)
        return;
    html_add(page, "<section id=\"wishes\">\n<h2>Wishes</h2>\n<p>%s</p>\n<ul>\n", review_wishes);
    for (size_t i = 0; i < setup->score->wish_count; i++) {
        const struct finding *finding = setup->score->wishes[i];
        char object[REPORT_OBJECT_SIZE];
        struct words words;

        engine_words(setup->engine, finding, &words);
        html_add(page, "<li><bdi>%s</bdi>: %s.</li>\n",
                 report_object(setup->engine, finding->object, object), words.says);
    }
    html_add(page, "</ul>\n</section>\n");
}

/* The check's sentence; the first one opens the list. */
static bool
add_sentence(FILE *page, const struct setup *setup, int check, bool begun)
{
    char says[REVIEW_RIGHT_SIZE];

    if (!*review_right(setup, check, says))
        return begun;
    if (!begun)
        html_add(page, "<ul>\n");
    html_add(page, "<li>%s</li>\n", says);
    return true;
}

static void
add_right(FILE *page, const struct setup *setup)
{
    const struct scheme *scheme = setup->scheme;
    bool begun = false;

    html_add(page, "<section id=\"right\">\n<h2>What is right</h2>\n");
    for (int group = 0; group < scheme->group_count; group++)
        for (int i = 0; i < scheme->groups[group].check_count; i++)
            begun = add_sentence(page, setup, scheme->groups[group].checks[i].check, begun);
    html_add(page, begun ? "</ul>\n" : "<p>Nothing that is known.</p>\n");
    html_add(page, "</section>\n");
}

/* ---- by hand ---- */

static void
add_by_hand(FILE *page, const struct setup *setup)
{
    const struct scheme *scheme = setup->scheme;

    html_add(page, "<section id=\"by-hand\">\n<h2>What settings cannot show</h2>\n<p>%s</p>\n",
             review_cannot_show);
    if (scheme->by_hand_count > 0)
        html_add(page, "<ul>\n");
    for (int i = 0; i < scheme->by_hand_count; i++)
        html_add(page, "<li><span class=\"blank\">&nbsp;</span> of %f: <bdi>%s</bdi></li>\n",
                 scheme->by_hand[i].marks_tenths / 10.0, scheme->by_hand[i].what);
    if (scheme->by_hand_count > 0)
        html_add(page, "</ul>\n");
    html_add(page, "</section>\n");
}

static const struct page_link links[] = {{"marks", "marks"},           {"findings", "what it cost"},
                                         {"right", "right"},           {"sends", "sends"},
                                         {"equalisers", "equalisers"}, {NULL, NULL}};

/* "ana: 94.3 per cent of what was assessed." */
static void
add_title(FILE *page, const struct setup *setup)
{
    double percent = score_percent(&setup->score->total);
    char title[REVIEW_ID_SIZE + 80];
    struct text text;

    text_init(&text, title, sizeof title);
    if (isnan(percent))
        text_add(&text, "%s: nothing was there to be assessed.", setup->id);
    else
        text_add(&text, "%s: %f per cent of what was assessed%s", setup->id, percent,
                 score_no_pass(setup->score, setup->scheme) ? ", no pass." : ".");
    page_title(page, title);
}

static void
add_head(FILE *page, const struct setup *setup, const struct report_findings *findings,
         const struct reading *reading)
{
    page_reading(page, reading);
    add_title(page, setup);
    page_badges(page, findings);
    html_add(page, "<p class=\"soft\">");
    review_scheme(page, setup->scheme);
    if (setup->no_show)
        html_add(page, "<p>%s</p>\n", review_no_show);
    page_end_header(page, findings, links);
}

void
review_sheet(const struct setup *setup, FILE *page)
{
    struct report_findings findings = report_findings_with(setup->engine, setup->plan);
    struct reading reading = {setup->anonymous ? "" : setup->saved->show, setup->saved->desk_name,
                              setup->saved->at, engine_desk(setup->engine)};

    html_begin(page, setup->id);
    add_head(page, setup, &findings, &reading);
    add_marks(page, setup);
    add_lost(page, setup);
    add_next(page, setup);
    page_add_aside(page, &findings);
    add_wishes(page, setup);
    add_right(page, setup);
    add_by_hand(page, setup);
    page_add_mixes(page, &findings);
    page_add_pictures(page, &findings);
    page_add_cards(page, &findings);
    page_care(page);
    page_end(page, &findings, &reading);
    report_findings_release(&findings);
}
