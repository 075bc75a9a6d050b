/* SPDX-License-Identifier: MIT */
/* What to do, in the order to do it; and below it what is only to know. */
#include <stdlib.h>

#include "advice/say.h"
#include "core/text.h"
#include "page/html.h"
#include "page/page.h"
#include "page/steps.h"
#include "report/cards.h"
#include "report/report.h"

void
page_add_teaching(FILE *page, const struct finding *finding)
{
    const struct check *check = finding->check;
    char worked[TEACH_SIZE];

    html_add(page, "<details><summary>Worked example and source</summary>\n");
    if (report_worked(finding, worked))
        html_add(page, "<p>%s</p>\n", worked);
    html_add(page,
             "<p>%s</p>\n<p><b>Formula:</b> %s</p>\n<p><b>Source:</b> %s</p>\n"
             "<p><b>Where the trade disagrees:</b> %s</p>\n<p class=\"soft\">Check: %s</p>"
             "</details>\n",
             check->why, check->formula, check->source, check->disagreement, check->id);
}

/* ---- a step ---- */

/* "Card 1: gives 14 dB back. Only behind card 2." */
static void
add_which_card(FILE *page, const struct report_findings *findings, size_t place)
{
    const struct card *card = &findings->plan->cards[place];
    char worth[200];
    struct text text;

    text_init(&text, worth, sizeof worth);
    say_worth(&text, card);
    html_add(page, "<p class=\"why\"><a href=\"#card-%zu\">Card %zu</a>%s%s", place + 1, place + 1,
             *worth ? ": " : "", worth);
    for (size_t i = 0; i < card->rest_count; i++)
        html_add(page, "%s %zu", i == 0 ? ". Only behind card" : " and card",
                 card->rests_on[i] + 1);
    html_add(page, ".</p>\n");
}

static struct object
object_of(const struct report_findings *findings, const struct step *step)
{
    return step->card == PLAN_NO_CARD ? step->first->object
                                      : findings->plan->cards[step->card].object;
}

/* A sentence is the whole instruction, so it is in sight. */
static void
add_why(FILE *page, const struct report_findings *findings, const struct step *step,
        const struct finding *finding)
{
    struct object own = object_of(findings, step);
    bool same = finding->object.input == own.input && finding->object.mix == own.mix;
    char object[REPORT_OBJECT_SIZE];
    bool card =
        plan_card_of(findings->plan, finding->check->number, finding->object) != PLAN_NO_CARD;
    struct words words;

    engine_words(findings->engine, finding, &words);
    html_add(page, "<div class=\"finding\">\n");
    if (!card)
        html_add(page, "<p class=\"how\">%s.</p>\n", words.cure);
    html_add(page, "<p class=\"why\">Why: ");
    if (!same)
        html_add(page, "<bdi>%s</bdi>: ", report_object(findings->engine, finding->object, object));
    html_add(page, "%s.%s</p>\n", words.says, report_kind_mark(finding));
    page_add_teaching(page, finding);
    html_add(page, "</div>\n");
}

static void
add_step(FILE *page, const struct report_findings *findings, const struct step *step, size_t place)
{
    const char *weight = weight_name(step->weight);
    char action[STEP_ACTION_SIZE];

    html_add(page,
             "<li class=\"step at-%s\" id=\"step-%zu\"><label><input type=\"checkbox\"> "
             "<span class=\"badge %s\">%s</span> <b class=\"act\"><bdi>%s</bdi></b></label>\n",
             weight, place, weight, weight, step_action(findings, step, action));
    if (step->card != PLAN_NO_CARD)
        add_which_card(page, findings, step->card);
    for (size_t i = 0; i < findings->open_count; i++)
        if (step_is_for(findings, step, findings->list[i]))
            add_why(page, findings, step, findings->list[i]);
    html_add(page, "</li>\n");
}

/* ---- both lists ---- */

static void
add_note(FILE *page, const struct report_findings *findings, const struct finding *finding)
{
    char object[REPORT_OBJECT_SIZE];
    struct words words;

    engine_words(findings->engine, finding, &words);
    html_add(page,
             "<li class=\"finding\"><p><b><bdi>%s</bdi></b>: %s.%s</p>\n<p class=\"how\">%s."
             "</p>\n",
             report_object(findings->engine, finding->object, object), words.says,
             report_kind_mark(finding), words.cure);
    page_add_teaching(page, finding);
    html_add(page, "</li>\n");
}

static size_t
count_to_know(const struct step *steps, size_t count)
{
    size_t to_know = 0;

    for (size_t i = 0; i < count; i++)
        to_know += step_is_to_know(&steps[i]);
    return to_know;
}

static void
add_to_know(FILE *page, const struct report_findings *findings, const struct step *steps,
            size_t count)
{
    html_add(page, "<section id=\"to-know\">\n<h2>To know</h2>\n<ul class=\"notes\">\n");
    for (size_t i = 0; i < count; i++)
        if (step_is_to_know(&steps[i]))
            add_note(page, findings, steps[i].first);
    html_add(page, "</ul>\n</section>\n");
}

void
page_add_steps(FILE *page, const struct report_findings *findings)
{
    struct step *steps;
    size_t count = steps_of(findings, &steps), to_know = count_to_know(steps, count), place = 0;

    html_add(page, "<section id=\"do\">\n<h2>Do this, in this order</h2>\n");
    if (findings->open_count == 0)
        html_add(page, "<p>%s</p>\n", report_no_findings(findings));
    else if (count == to_know)
        html_add(page, "<p>Nothing has to be done before doors.</p>\n");
    if (count > to_know)
        html_add(page, "<ol class=\"steps\">\n");
    for (size_t i = 0; i < count; i++)
        if (!step_is_to_know(&steps[i]))
            add_step(page, findings, &steps[i], ++place);
    fputs(count > to_know ? "</ol>\n</section>\n" : "</section>\n", page);
    if (to_know > 0)
        add_to_know(page, findings, steps, count);
    free(steps);
}
