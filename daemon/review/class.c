/* SPDX-License-Identifier: MIT */
/* A class: one page that links the sheets, and one table for a spreadsheet. */
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
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
        "<p class=\"soft\">Earned of what was assessed, group by group. Change: what was earned "
        "since the setup before, where as much was assessed.</p>\n"
        "<section class=\"scroll\" tabindex=\"0\" aria-label=\"Marks of the class\">\n"
        "<table>\n<thead><tr><th scope=\"col\" class=\"words\">setup</th>"
        "<th scope=\"col\" class=\"words\">read</th>");
    for (int i = 0; i < scheme->group_count; i++)
        html_add(page, "<th scope=\"col\"><bdi>%s</bdi></th>", scheme->groups[i].name);
    html_add(page, "<th scope=\"col\">all settings</th><th scope=\"col\">not assessed</th>"
                   "<th scope=\"col\">change</th><th scope=\"col\"><span class=\"unseen\">as a "
                   "bar</span></th></tr></thead>\n<tbody>\n");
}

static void
add_cell(FILE *page, const struct score_group *group)
{
    char earned[SCHEME_MARKS_SIZE], of[SCHEME_MARKS_SIZE];

    html_add(page, "<td>%s / %s</td>", scheme_marks(earned, group->earned_tenths),
             scheme_marks(of, group->earned_tenths + group->lost_tenths));
}

/* Since the setup before of the same id. */
static void
add_change(FILE *page, const struct review_row *row, const struct review_row *before)
{
    int change = before ? row->total.earned_tenths - before->total.earned_tenths : 0;
    char marks[HTML_NUMBER_SIZE];

    if (!before || strcmp(before->id, row->id) != 0)
        html_add(page, "<td></td>");
    else if (before->total.open_tenths != row->total.open_tenths)
        html_add(page, "<td>other parts assessed</td>");
    else
        html_add(page, "<td>%s</td>", html_change(marks, change / 10.0));
}

static void
add_row(FILE *page, const struct review_class *review, size_t at)
{
    const struct review_row *row = &review->rows[at];
    char open[SCHEME_MARKS_SIZE], when[17]; /* "2026-11-25T22:34": the sheet has the rest */

    snprintf(when, sizeof when, "%.16s", row->at);
    when[10] = ' ';

    html_add(page, "<tr><th scope=\"row\"><a href=\"");
    add_link(page, row->file);
    html_add(page, "\"><bdi>%s</bdi></a></th><td class=\"words\">%s</td>", row->id, when);
    for (int i = 0; i < review->scheme->scheme.group_count; i++)
        add_cell(page, &row->groups[i]);
    add_cell(page, &row->total);
    html_add(page, "<td>%s</td>", scheme_marks(open, row->total.open_tenths));
    add_change(page, row, at > 0 ? row - 1 : NULL);
    html_add(page, "<td class=\"bars\">");
    review_bar(page, &row->total);
    html_add(page, "</td></tr>\n");
}

/* ---- what the class might look at next ---- */

struct common {
    int check;
    size_t setups;
    int tenths;
};

static int
more_common(const void *one, const void *other)
{
    const struct common *a = one, *b = other;

    if (a->tenths != b->tenths)
        return b->tenths - a->tenths;
    if (a->setups != b->setups)
        return a->setups < b->setups ? 1 : -1;
    return a->check - b->check;
}

static void
add_common_table(FILE *page, const struct review_class *review, const struct common *list,
                 int count)
{
    char marks[SCHEME_MARKS_SIZE];

    html_add(page, "<section class=\"scroll\" tabindex=\"0\" aria-label=\"What cost most, check by "
                   "check\">\n<table>\n<thead><tr><th scope=\"col\" class=\"words\">check</th><th "
                   "scope=\"col\">setups</th><th scope=\"col\">marks in all</th></tr></thead>\n"
                   "<tbody>\n");
    for (int i = 0; i < count; i++)
        html_add(page, "<tr><th scope=\"row\">%s</th><td>%zu of %zu</td><td>%s</td></tr>\n",
                 check_name(list[i].check), list[i].setups, review->count,
                 scheme_marks(marks, list[i].tenths));
    html_add(page, "</tbody>\n</table>\n</section>\n");
}

static void
add_common(FILE *page, const struct review_class *review)
{
    struct common *list = need_memory((size_t)CHECKS, sizeof *list);
    int count = 0;

    for (int check = 0; check < CHECKS; check++)
        if (review->setups_with[check] > 0)
            list[count++] =
                (struct common){check, review->setups_with[check], review->lost_tenths[check]};
    qsort(list, (size_t)count, sizeof *list, more_common);
    html_add(page, "<section>\n<h2>What cost most</h2>\n");
    if (count > 0)
        add_common_table(page, review, list, count);
    else
        html_add(page, "<p>Nothing.</p>\n");
    html_add(page, "</section>\n");
    free(list);
}

void
review_overview(const struct review_class *review, FILE *page)
{
    const struct scheme_file *scheme = review->scheme;

    html_begin(page, "Setups of a class");
    html_add(page,
             "<header>\n<h1>Setups of a class</h1>\n<p class=\"soft\">%zu setup%s. Scheme: "
             "<bdi>%s</bdi>, version <bdi>%s</bdi>, SHA-256 %s</p>\n</header>\n<main>\n<section>\n"
             "<h2>Marks for the settings</h2>\n",
             review->count, review->count == 1 ? "" : "s", scheme->scheme.name,
             scheme->scheme.version, scheme->sha256);
    add_head(page, &scheme->scheme);
    for (size_t i = 0; i < review->count; i++)
        add_row(page, review, i);
    html_add(page, "</tbody>\n</table>\n</section>\n</section>\n");
    add_common(page, review);
    html_add(page, "<section>\n<h2>What settings cannot show</h2>\n<p>%s</p>\n</section>\n",
             review_cannot_show);
    page_care(page);
    html_add(page, "</main>\n");
    html_end(page);
}

/* ---- CSV ---- */

static void
csv_head(struct csv *csv, const struct scheme *scheme)
{
    static const char *const before[] = {"id", "read", "scheme", "version", "sha256"};
    static const char *const behind[] = {"all earned", "all lost", "all not assessed", "stop",
                                         "fix",        "note",     "not known"};

    for (size_t i = 0; i < sizeof before / sizeof *before; i++)
        csv_text(csv, before[i]);
    for (int i = 0; i < scheme->group_count; i++) {
        static const char *const parts[] = {"earned", "lost", "not assessed"};
        char title[SHOW_NAME_SIZE + 20];

        for (size_t part = 0; part < sizeof parts / sizeof *parts; part++) {
            snprintf(title, sizeof title, "%s %s", scheme->groups[i].name, parts[part]);
            csv_text(csv, title);
        }
    }
    for (size_t i = 0; i < sizeof behind / sizeof *behind; i++)
        csv_text(csv, behind[i]);
    csv_end_row(csv);
}

static void
csv_group(struct csv *csv, const struct score_group *group)
{
    csv_number(csv, group->earned_tenths / 10.0);
    csv_number(csv, group->lost_tenths / 10.0);
    csv_number(csv, group->open_tenths / 10.0);
}

void
review_csv(const struct review_class *review, FILE *to)
{
    const struct scheme_file *scheme = review->scheme;
    struct csv csv = {to, false};

    csv_head(&csv, &scheme->scheme);
    for (size_t i = 0; i < review->count; i++) {
        const struct review_row *row = &review->rows[i];

        csv_text(&csv, row->id);
        csv_text(&csv, row->at);
        csv_text(&csv, scheme->scheme.name);
        csv_text(&csv, scheme->scheme.version);
        csv_text(&csv, scheme->sha256);
        for (int group = 0; group < scheme->scheme.group_count; group++)
            csv_group(&csv, &row->groups[group]);
        csv_group(&csv, &row->total);
        for (int weight = WEIGHT_STOP; weight >= WEIGHT_NOTE; weight--)
            csv_number(&csv, (double)row->of[weight]);
        csv_number(&csv, (double)row->total.unknown);
        csv_end_row(&csv);
    }
}
