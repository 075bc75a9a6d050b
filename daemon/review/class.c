/* SPDX-License-Identifier: MIT */
/* A class: one page that links the sheets, and one table for a spreadsheet. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "page/html.h"
#include "page/page.h"
#include "review/review.h"

/* ---- the table ---- */

/* A file's name as a link: everything but letters, digits, - _ . in percent form (RFC 3986). */
static void
add_link(FILE *page, const char *file)
{
    for (; *file; file++) {
        unsigned char byte = (unsigned char)*file;
        bool plain = (byte >= 'a' && byte <= 'z') || (byte >= 'A' && byte <= 'Z') ||
                     (byte >= '0' && byte <= '9') || strchr("-_.", byte);

        fprintf(page, plain ? "%c" : "%%%02X", byte);
    }
}

static void
add_head(FILE *page, const struct scheme *scheme)
{
    html_add(
        page,
        "</header>\n<main>\n<section>\n<h2>Marks for the settings</h2>\n"
        "<p class=\"soft\">Earned of what was assessed, group by group. Assessed: how much of the "
        "marks that was; what was not there to be judged, not known or accepted is neither earned "
        "nor lost. Stop: open findings by which somebody can be hurt. Accepted: findings that the "
        "show file accepts. Change: what was earned since the setup before, where as much was "
        "assessed.</p>\n"
        "<section class=\"scroll\" tabindex=\"0\" aria-label=\"Marks of the class\">\n"
        "<table class=\"marks\">\n<thead><tr><th scope=\"col\" class=\"words\">setup</th>"
        "<th scope=\"col\">per cent</th><th scope=\"col\">assessed</th><th scope=\"col\">stop</th>"
        "<th scope=\"col\">accepted</th><th scope=\"col\">change</th>"
        "<th scope=\"col\">all settings</th>");
    for (int i = 0; i < scheme->group_count; i++)
        html_add(page, "<th scope=\"col\"><bdi>%s</bdi></th>", scheme->groups[i].name);
    html_add(page, "<th scope=\"col\" class=\"words\">read</th><th scope=\"col\"><span "
                   "class=\"unseen\">as a bar</span></th></tr></thead>\n<tbody>\n");
}

static void
add_cell(FILE *page, const struct score_group *group)
{
    html_add(page, "<td>%f / %f</td>", group->earned_tenths / 10.0,
             (group->earned_tenths + group->lost_tenths) / 10.0);
}

/* Per cent of what was assessed, how much that was, and whether it may pass. */
static void
add_mark(FILE *page, const struct review_row *row)
{
    double percent = score_percent(&row->total);

    if (isnan(percent))
        html_add(page, "<td>none</td>");
    else
        html_add(page, "<td>%f</td>", percent);
    html_add(page, "<td>%f %%%s</td><td>%zu%s</td><td>%zu", score_assessed_percent(&row->total),
             row->no_pass & SCORE_TOO_LITTLE ? ", no pass" : "", row->of[WEIGHT_STOP],
             row->no_pass & SCORE_HAS_STOP ? ", no pass" : "", row->accepted);
    if (row->accepted_stops > 0)
        html_add(page, ", %zu stop", row->accepted_stops);
    html_add(page, "</td>");
}

/* Since the setup before of the same id. */
static void
add_change(FILE *page, const struct review_row *row, const struct review_row *before)
{
    int change = before ? row->total.earned_tenths - before->total.earned_tenths : 0;

    if (!before || strcmp(before->id, row->id) != 0)
        html_add(page, "<td></td>");
    else if (before->total.open_tenths != row->total.open_tenths)
        html_add(page, "<td>other parts assessed</td>");
    else
        html_add(page, "<td>%+f</td>", change / 10.0);
}

static void
add_row(FILE *page, const struct review_class *review, size_t at)
{
    const struct review_row *row = &review->rows[at];
    char when[17]; /* "2026-11-25T22:34": the sheet has the rest */

    snprintf(when, sizeof when, "%.16s", row->at);
    when[10] = ' ';

    html_add(page, "<tr><th scope=\"row\"><a href=\"");
    add_link(page, row->file);
    html_add(page, "\"><bdi>%s</bdi></a></th>", row->id);
    add_mark(page, row);
    add_change(page, row, at > 0 ? row - 1 : NULL);
    add_cell(page, &row->total);
    for (int i = 0; i < review->scheme->group_count; i++)
        add_cell(page, &row->groups[i]);
    html_add(page, "<td class=\"words\">%s</td>", when);
    review_bar(page, &row->total);
}

/* ---- what the class might look at next ---- */

static int
more_common(const void *one, const void *other)
{
    const struct review_check *a = one, *b = other;

    if (a->lost_tenths != b->lost_tenths)
        return b->lost_tenths - a->lost_tenths;
    if (a->setups != b->setups)
        return a->setups < b->setups ? 1 : -1;
    return a->check - b->check;
}

static void
add_common(FILE *page, const struct review_class *review)
{
    struct review_check list[CHECKS];

    for (int check = 0; check < CHECKS; check++) {
        list[check] = review->checks[check];
        list[check].check = check;
    }
    qsort(list, CHECKS, sizeof *list, more_common);
    if (list[0].setups == 0) {
        html_add(page, "<p>Nothing.</p>\n");
        return;
    }
    html_add(page, "<section class=\"scroll\" tabindex=\"0\" aria-label=\"What cost most, check by "
                   "check\">\n<table>\n<thead><tr><th scope=\"col\" class=\"words\">check</th><th "
                   "scope=\"col\">setups</th><th scope=\"col\">marks in all</th></tr></thead>\n"
                   "<tbody>\n");
    for (int i = 0; i < CHECKS && list[i].setups > 0; i++)
        html_add(page, "<tr><th scope=\"row\">%s</th><td>%zu of %zu</td><td>%f</td></tr>\n",
                 check_name(list[i].check), list[i].setups, review->count,
                 list[i].lost_tenths / 10.0);
    html_add(page, "</tbody>\n</table>\n</section>\n");
}

/* Setups by which somebody can be hurt. */
static size_t
count_stops(const struct review_class *review)
{
    size_t count = 0;

    for (size_t i = 0; i < review->count; i++)
        count += review->rows[i].of[WEIGHT_STOP] > 0;
    return count;
}

void
review_overview(const struct review_class *review, FILE *page)
{
    char title[80];

    snprintf(title, sizeof title, "%zu setup%s, %zu with a stop.", review->count,
             review->count == 1 ? "" : "s", count_stops(review));
    html_begin(page, "Setups of a class");
    page_title(page, title);
    html_add(page, "<p class=\"soft\">");
    review_scheme(page, review->scheme);
    add_head(page, review->scheme);
    for (size_t i = 0; i < review->count; i++)
        add_row(page, review, i);
    html_add(page, "</tbody>\n</table>\n</section>\n</section>\n<section>\n"
                   "<h2>What cost most</h2>\n");
    add_common(page, review);
    html_add(page,
             "</section>\n<section>\n<h2>What settings cannot show</h2>\n<p>%s</p>\n</section>\n",
             review_cannot_show);
    page_care(page);
    html_end(page);
}

/* ---- CSV ---- */

/* Ended by NULL. */
static void
csv_texts(struct csv *csv, const char *const *texts)
{
    for (; *texts; texts++)
        csv_text(csv, *texts);
}

static void
csv_titles(struct csv *csv, const char *group)
{
    static const char *const parts[] = {"earned", "lost", "not assessed"};
    char title[SHOW_NAME_SIZE + 20];

    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        snprintf(title, sizeof title, "%s %s", group, parts[i]);
        csv_text(csv, title);
    }
}

static void
csv_head(struct csv *csv, const struct scheme *scheme)
{
    csv_texts(csv, (const char *const[]){"id", "read", "scheme", "version", "sha256", NULL});
    for (int i = 0; i < scheme->group_count; i++)
        csv_titles(csv, scheme->groups[i].name);
    csv_titles(csv, "all");
    csv_texts(csv,
              (const char *const[]){"per cent", "per cent assessed", "stop", "fix", "note",
                                    "not known", "accepted", "accepted stop", "no pass", NULL});
    csv_end_row(csv);
}

static void
csv_group(struct csv *csv, const struct score_group *group)
{
    csv_number(csv, group->earned_tenths / 10.0);
    csv_number(csv, group->lost_tenths / 10.0);
    csv_number(csv, group->open_tenths / 10.0);
}

/* A setup of which nothing was assessed has no mark. */
static void
csv_mark(struct csv *csv, const struct review_row *row)
{
    double percent = score_percent(&row->total);

    if (isnan(percent))
        csv_text(csv, "");
    else
        csv_number(csv, round(percent * 10) / 10);
    csv_number(csv, round(score_assessed_percent(&row->total) * 10) / 10);
    for (int weight = WEIGHT_STOP; weight >= WEIGHT_NOTE; weight--)
        csv_number(csv, (double)row->of[weight]);
    csv_number(csv, (double)row->total.of[JUDGED_NOT_KNOWN]);
    csv_number(csv, (double)row->accepted);
    csv_number(csv, (double)row->accepted_stops);
    csv_text(csv, !row->no_pass                   ? ""
                  : row->no_pass & SCORE_HAS_STOP ? "stop"
                                                  : "too little assessed");
}

void
review_csv(const struct review_class *review, FILE *to)
{
    const struct scheme *scheme = review->scheme;
    struct csv csv = {to, false};

    csv_head(&csv, scheme);
    for (size_t i = 0; i < review->count; i++) {
        const struct review_row *row = &review->rows[i];

        csv_texts(&csv, (const char *const[]){row->id, row->at, scheme->name, scheme->version,
                                              scheme->sha256, NULL});
        for (int group = 0; group < scheme->group_count; group++)
            csv_group(&csv, &row->groups[group]);
        csv_group(&csv, &row->total);
        csv_mark(&csv, row);
        csv_end_row(&csv);
    }
}
