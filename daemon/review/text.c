/* SPDX-License-Identifier: MIT */
/* A sheet on the terminal. */
#include "base/output.h"
#include "report/cards.h"
#include "report/findings.h"
#include "report/report.h"
#include "review/review.h"

enum { NAME_COLUMN = 29, TABLE_WIDTH = 70 };

static void
print_head(const struct setup *setup)
{
    const char *show = setup->anonymous ? "" : setup->saved->show;

    output_format(0, 4, "%s: %s%sread %s", setup->id, show, *show ? ", " : "", setup->saved->at);
    output_format(0, 4, "Scheme: %s, version %s, SHA-256 %s", setup->scheme->name,
                  setup->scheme->version, setup->scheme->sha256);
    if (setup->no_show)
        output_wrapped(0, 4, review_no_show);
}

/* As a row of the table, or as a sentence where the terminal is too narrow for it. */
static void
print_group(const char *name, const struct score_group *group)
{
    bool wide = output_width() >= TABLE_WIDTH;
    char figures[200];

    snprintf(figures, sizeof figures,
             wide ? "%8g %8g %14g %8g" : "earned %g, lost %g, not assessed %g, of %g",
             group->earned_tenths / 10.0, group->lost_tenths / 10.0, group->open_tenths / 10.0,
             (group->earned_tenths + group->lost_tenths + group->open_tenths) / 10.0);
    if (!wide) {
        output_format(2, 4, "%s: %s", name, figures);
        return;
    }
    output_padded(2, NAME_COLUMN, name);
    puts(figures);
}

static void
print_marks(const struct setup *setup)
{
    char says[REVIEW_NO_PASS_SIZE];

    output_format(0, 2, "\nMark for the settings: %s", review_mark(&setup->score->total, says));
    if (*review_no_pass(setup, says))
        output_wrapped(0, 2, says);
    putchar('\n');
    if (output_width() >= TABLE_WIDTH)
        printf("%*s%8s %8s %14s %8s\n", NAME_COLUMN, "", "earned", "lost", "not assessed", "of");
    for (int i = 0; i < setup->scheme->group_count; i++)
        print_group(setup->scheme->groups[i].name, &setup->score->groups[i]);
    print_group("all settings", &setup->score->total);
}

static void
print_line(const struct setup *setup, const struct score_line *score)
{
    const struct finding *finding = score->finding;
    char object[REPORT_OBJECT_SIZE], why[REVIEW_WHY_SIZE];
    char worked[TEACH_SIZE];
    struct words words;

    engine_words(setup->engine, finding, &words);
    cards_cure(setup->plan, finding, &words);
    output_format(4, 6, "%g mark%s: %s: %s. [%s]", score->lost_tenths / 10.0,
                  score->lost_tenths == 10 ? "" : "s",
                  report_object(setup->engine, finding->object, object), words.says,
                  finding->check->id);
    if (*review_why(setup, score, why))
        output_wrapped(6, 10, why);
    if (score->why == SCORE_SAME_CAUSE)
        return; /* the other line has the rest */
    report_do(&words);
    if (report_worked(finding, worked))
        output_format(6, 10, "worked: %s", worked);
}

static void
print_lost(const struct setup *setup)
{
    puts("\nWhat it cost");
    if (setup->score->line_count == 0)
        puts("  nothing");
    for (int group = 0; group < setup->scheme->group_count; group++) {
        bool begun = false;

        for (size_t i = 0; i < setup->score->line_count; i++) {
            if (setup->score->lines[i].group != group)
                continue;
            if (!begun)
                output_wrapped(2, 4, setup->scheme->groups[group].name);
            begun = true;
            print_line(setup, &setup->score->lines[i]);
        }
    }
}

static void
print_next(const struct setup *setup)
{
    struct review_next next[REVIEW_NEXT];
    int count = review_next(setup, next);
    char says[REVIEW_NEXT_SIZE];

    if (count > 0)
        puts("\nNext time, first things first");
    for (int i = 0; i < count; i++)
        output_format(2, 5, "%d. %s", i + 1, review_next_says(setup, &next[i], says));
}

/* ---- what cost nothing ---- */

static void
print_finding(const struct setup *setup, const struct finding *finding, const char *why)
{
    char object[REPORT_OBJECT_SIZE];
    struct words words;

    engine_words(setup->engine, finding, &words);
    output_format(2, 4, "%s: %s. [%s]%s%s", report_object(setup->engine, finding->object, object),
                  words.says, finding->check->id, *why ? " " : "", why);
}

static void
print_accepted(const struct setup *setup)
{
    const struct show *show = engine_show(setup->engine);
    const struct finding *const *findings;
    size_t count = engine_findings(setup->engine, &findings);
    bool begun = false;

    for (size_t i = 0; i < count; i++) {
        if (findings[i]->accept < 0)
            continue;
        if (!begun)
            puts("\nAccepted in the show file, and neither earned nor lost");
        begun = true;
        print_finding(setup, findings[i], show->accepts[findings[i]->accept].why);
    }
}

static void
print_wishes(const struct setup *setup)
{
    if (setup->score->wish_count > 0)
        output_format(0, 2, "\n%s", review_wishes);
    for (size_t i = 0; i < setup->score->wish_count; i++)
        print_finding(setup, setup->score->wishes[i], "");
}

static void
print_right(const struct setup *setup)
{
    const struct scheme *scheme = setup->scheme;

    puts("\nWhat is right");
    for (int group = 0; group < scheme->group_count; group++)
        for (int i = 0; i < scheme->groups[group].check_count; i++) {
            char says[REVIEW_RIGHT_SIZE];

            if (*review_right(setup, scheme->groups[group].checks[i].check, says))
                output_wrapped(2, 4, says);
        }
}

static void
print_unknown(void *context, const struct check *check, struct object object, const char *why)
{
    const struct engine *engine = context;
    char name[REPORT_OBJECT_SIZE];

    output_format(2, 4, "%s: %s: %s", report_object(engine, object, name), check->id, why);
}

static void
print_by_hand(const struct setup *setup)
{
    const struct scheme *scheme = setup->scheme;

    puts("\nWhat settings cannot show");
    output_wrapped(2, 2, review_cannot_show);
    for (int i = 0; i < scheme->by_hand_count; i++)
        output_format(4, 6, "____ of %g: %s", scheme->by_hand[i].marks_tenths / 10.0,
                      scheme->by_hand[i].what);
}

void
review_text(const struct setup *setup)
{
    size_t unknown = report_unknown(setup->engine);
    char says[REVIEW_OPEN_SIZE];

    print_head(setup);
    print_marks(setup);
    print_lost(setup);
    print_next(setup);
    print_accepted(setup);
    print_wishes(setup);
    print_right(setup);
    cards_text(setup->engine, setup->plan);
    if (*review_open(&setup->score->total, says))
        output_format(0, 2, "\n%s", says);
    if (unknown > 0)
        output_format(0, 2, "\nNot known, and so neither earned nor lost (%zu)", unknown);
    engine_unknown(setup->engine, print_unknown, setup->engine);
    if (setup->score->unmarked > 0)
        output_format(0, 2, "\n%s", review_unmarked(setup, says));
    print_by_hand(setup);
    putchar('\n');
    report_care();
}
