/* SPDX-License-Identifier: MIT */
/* A sheet to look at: the marks and what each was for, then what the audit's page shows. */
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
    html_add(page, "<section id=\"marks\">\n<h2>Marks for the settings</h2>\n"
                   "<section class=\"scroll\" tabindex=\"0\" aria-label=\"Marks\">\n"
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
             "</tbody>\n</table>\n</section>\n<p class=\"soft\">Not assessed: what was not known, "
             "or was not there to be judged; neither earned nor lost.</p>\n</section>\n");
}

/* ---- what it cost ---- */

static void
add_line(FILE *page, const struct setup *setup, const struct score_line *line)
{
    const struct verdict *verdict = &line->finding->verdict;
    const char *weight = weight_name(verdict->weight);
    char object[REPORT_OBJECT_SIZE], why[SETUP_WHY_SIZE];
    struct words words;

    engine_words(setup->engine, line->finding, &words);
    cards_cure(setup->plan, line->finding, &words);
    html_add(page,
             "<li class=\"at-%s\"><p><span class=\"weight %s\">%f mark%s</span> <strong><bdi>%s"
             "</bdi></strong>: %s.%s <span class=\"soft\">[%s]</span></p>\n",
             weight, weight, line->lost_tenths / 10.0, line->lost_tenths == 10 ? "" : "s",
             report_object(setup->engine, line->finding->object, object), words.says,
             report_kind_mark(line->finding), line->finding->check->id);
    if (*setup_why(setup, line, why))
        html_add(page, "<p class=\"soft\">%s.</p>\n", why);
    html_add(page, "<p class=\"do\">%s</p>\n", words.cure);
    page_add_teaching(page, line->finding);
}

static void
add_lost(FILE *page, const struct setup *setup)
{
    const struct scheme *scheme = setup->scheme;
    char says[SETUP_UNMARKED_SIZE];

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
        html_add(page, "<p class=\"soft\">%s.</p>\n", setup_unmarked(setup, says));
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

static void
add_head(FILE *page, const struct setup *setup, const struct report_findings *findings)
{
    html_add(page, "<h1><bdi>%s</bdi></h1>\n<p>", setup->id);
    if (!setup->anonymous && *setup->saved->show)
        html_add(page, "<bdi>%s</bdi>, ", setup->saved->show);
    html_add(page, "read %s</p>\n<p class=\"soft\">", setup->saved->at);
    review_scheme(page, setup->scheme);
    page_end_header(page, findings, "marks");
}

void
review_sheet(const struct setup *setup, FILE *page)
{
    struct report_findings findings = report_findings_of(setup->engine, 0);

    html_begin(page, setup->id);
    add_head(page, setup, &findings);
    add_marks(page, setup);
    add_lost(page, setup);
    page_add_rest(page, &findings);
    add_by_hand(page, setup);
    page_add_pictures(page, &findings);
    page_add_cards(page, &findings);
    page_end(page, &findings);
    report_findings_release(&findings);
}
