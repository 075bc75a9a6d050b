/* SPDX-License-Identifier: MIT */
/* The comparison as a page: how much moved, the findings that changed, what moved with its weight,
 * and the cards that put it back.
 */
#include "report/compare.h"

#include <stdlib.h>

#include "core/text.h"
#include "page/headline.h"
#include "page/html.h"
#include "page/page.h"
#include "page/steps.h"
#include "proof/say.h"
#include "report/cards.h"

/* ---- the head ---- */

/* What is listed as moved, by weight. */
static size_t
count_moved(const struct compare *compare, size_t of[WEIGHTS])
{
    size_t count = 0;

    for (size_t i = 0; i < compare->moved_count; i++)
        if (compare_is_listed(compare, &compare->moved[i])) {
            of[compare->moved[i].weight]++;
            count++;
        }
    return count;
}

static bool
is_open(const struct compare_finding *row)
{
    return row->change == FINDING_NEW || row->change == FINDING_WORSE;
}

static void
count_found(const struct compare *compare, size_t of[WEIGHTS])
{
    for (size_t i = 0; i < compare->finding_count; i++)
        if (is_open(&compare->findings[i]))
            of[compare_shown(&compare->findings[i])->verdict.weight]++;
}

static void
add_found(struct text *text, const struct compare *compare, size_t moved)
{
    size_t worse = compare->of[FINDING_NEW] + compare->of[FINDING_WORSE];

    text_add(text, compare->reference ? "Not as the reference: " : "Not as approved: ");
    if (compare->reference)
        text_add(text, "%zu path gains and %zu values differ", compare->offsets->of[PATH_DIFFERS],
                 compare_kinds(compare));
    else
        text_add(text, "%zu value%s moved", moved, moved == 1 ? "" : "s");
    if (worse > 0)
        text_add(text, ", %zu finding%s new or worse", worse, worse == 1 ? " is" : "s are");
    text_add(text, ".");
}

static const char *
title_of(const struct compare *compare, size_t moved, char says[HEADLINE_SIZE])
{
    int status = compare_status(compare);
    struct text text;

    text_init(&text, says, HEADLINE_SIZE);
    if (status == EXIT_FINDINGS)
        add_found(&text, compare, moved);
    else if (status == EXIT_NOT_KNOWN)
        text_add(&text, "Not judged: of %zu values and %zu findings it is not known.",
                 compare->unknown_count, compare->of[FINDING_NOT_JUDGED]);
    else
        text_add(&text, "As %s: nothing that matters %s.",
                 compare->reference ? "the reference" : "approved",
                 compare->reference ? "differs" : "moved");
    return says;
}

/* "beside FILE, approved TIME by NAME: NOTE" */
static void
add_beside(FILE *page, const struct compare *compare)
{
    const struct saved *saved = compare->saved;

    html_add(page, "<p class=\"reading\">beside %s<bdi>%s</bdi>, %s %s",
             compare->reference ? "the reference " : "", compare->path,
             saved->approved ? "approved" : "saved",
             saved->approved ? saved->approved_at : saved->at);
    if (*saved->by)
        html_add(page, " by <bdi>%s</bdi>", saved->by);
    if (*saved->note)
        html_add(page, ": <bdi>%s</bdi>", saved->note);
    html_add(page, "</p>\n");
}

static void
add_badges(FILE *page, const size_t of[WEIGHTS])
{
    html_add(page, "<p class=\"badges\">");
    for (enum weight weight = WEIGHTS; weight-- > 0;)
        if (of[weight] > 0) {
            page_badge(page, weight);
            html_add(page, "%zu %s</span> ", of[weight], weight_name(weight));
        }
    html_add(page, "</p>\n");
}

static void
add_first(FILE *page, const struct report_findings *findings)
{
    struct step step = {.card = 0};
    char action[STEP_ACTION_SIZE];

    if (findings->plan->count > 0)
        html_add(page,
                 "<p class=\"first\"><b>Do first:</b> <a href=\"#card-1\"><bdi>%s</bdi></a></p>\n",
                 step_action(findings, &step, action));
}

static void
add_head(FILE *page, const struct compare *compare, const struct report_findings *findings)
{
    const struct session *session = compare->session;
    char says[HEADLINE_SIZE], when[CLOCK_SIZE], silent[REPORT_SILENT_SIZE];
    struct reading reading = {engine_show(compare->now)->name, session->profile->desk,
                              session_at(session, when), engine_desk(compare->now)};
    size_t of[WEIGHTS] = {0}, moved = count_moved(compare, of);

    count_found(compare, of);
    html_begin(page, session_name(session));
    page_reading(page, &reading);
    add_beside(page, compare);
    page_title(page, title_of(compare, moved, says));
    add_badges(page, of);
    if (session->host && *report_silent(&compare->figures, silent))
        html_add(page, "<p><strong>%s</strong></p>\n", silent);
    add_first(page, findings);
    html_add(page, "</header>\n<main>\n");
}

/* ---- findings ---- */

static bool
is_shown(const struct compare *compare, const struct compare_finding *row)
{
    return compare->all || row->change != FINDING_UNCHANGED;
}

static void
add_finding(FILE *page, const struct compare *compare, const struct compare_finding *row)
{
    const struct finding *finding = compare_shown(row);
    char object[REPORT_OBJECT_SIZE];
    struct words words;

    engine_words(compare_engine(compare, row), finding, &words);
    html_add(page, "<li class=\"finding\"><p>%s: ", difference_finding_name(row->change));
    page_badge(page, finding->verdict.weight);
    html_add(page, "%s</span> <b><bdi>%s</bdi></b>: %s.</p>\n",
             weight_name(finding->verdict.weight),
             report_object(compare->now, finding->object, object), words.says);
    if (is_open(row)) {
        cards_cure(compare->plan, finding, &words);
        html_add(page, "<p class=\"how\">%s.</p>\n", words.cure);
        page_add_teaching(page, finding);
    }
    html_add(page, "</li>\n");
}

static void
add_findings(FILE *page, const struct compare *compare)
{
    size_t shown = 0;

    html_add(page,
             "<section id=\"findings\">\n<h2>Findings</h2>\n<p>%zu new, %zu worse, %zu fixed, %zu "
             "unchanged, %zu not judged now.</p>\n",
             compare->of[FINDING_NEW], compare->of[FINDING_WORSE], compare->of[FINDING_FIXED],
             compare->of[FINDING_UNCHANGED], compare->of[FINDING_NOT_JUDGED]);
    for (size_t i = 0; i < compare->finding_count; i++) {
        if (!is_shown(compare, &compare->findings[i]))
            continue;
        fputs(shown++ == 0 ? "<ul class=\"notes\">\n" : "", page);
        add_finding(page, compare, &compare->findings[i]);
    }
    fputs(shown > 0 ? "</ul>\n</section>\n" : "</section>\n", page);
}

/* ---- what moved ---- */

static void
add_move(FILE *page, const struct compare *compare, const struct compare_value *value)
{
    const char *weight = weight_name(value->weight);
    char line[COMPARE_LINE_SIZE];

    html_add(page, "<li class=\"moved\"><span class=\"badge %s\">%s</span> <bdi>%s</bdi></li>\n",
             weight, weight, compare_move_says(compare, value, line));
}

static void
add_moved(FILE *page, const struct compare *compare)
{
    size_t of[WEIGHTS] = {0}, count = count_moved(compare, of);

    html_add(page, "<section id=\"moved\">\n<h2>%s (%zu)</h2>\n",
             compare->reference ? "Differs" : "Moved", count);
    if (count == 0)
        html_add(page, "<p>Nothing of weight.</p>\n");
    else
        html_add(page,
                 "<p class=\"soft\">What moves path gains comes first, the loudest upwards on "
                 "top.</p>\n<ul class=\"notes\">\n");
    for (size_t i = 0; i < compare->moved_count; i++)
        if (compare_is_listed(compare, &compare->moved[i]))
            add_move(page, compare, &compare->moved[i]);
    fputs(count > 0 ? "</ul>\n</section>\n" : "</section>\n", page);
}

static void
add_paths(FILE *page, const struct compare *compare)
{
    const size_t *of = compare->offsets->of;
    struct compare_path *paths = compare_paths(compare);
    char line[COMPARE_LINE_SIZE];

    html_add(page,
             "<section id=\"paths\">\n<h2>Path gains</h2>\n<p>Without filters: %zu differ, %zu "
             "agree, %zu not known.</p>\n",
             of[PATH_DIFFERS], of[PATH_AGREES], of[PATH_NOT_KNOWN]);
    fputs(of[PATH_DIFFERS] > 0 ? "<ul class=\"notes\">\n" : "", page);
    for (size_t i = 0; i < of[PATH_DIFFERS]; i++)
        html_add(page, "<li><bdi>%s</bdi></li>\n", compare_path_says(compare, &paths[i], line));
    fputs(of[PATH_DIFFERS] > 0 ? "</ul>\n</section>\n" : "</section>\n", page);
    free(paths);
}

/* ---- what ring-outs proved ---- */

static void
add_proved(FILE *page, const struct compare *compare)
{
    int mixes = desk_count(engine_desk(compare->now), INDEX_MIX);
    char line[COMPARE_LINE_SIZE], *same;

    if (!engine_proof(compare->now))
        return;
    html_add(page, "<section id=\"proved\">\n<h2>%s</h2>\n<ul>\n", compare_margins_title(compare));
    for (int mix = 0; mix < mixes; mix++)
        if (compare_margin(compare, mix) == COMPARE_MARGIN_OTHER)
            html_add(page, "<li><bdi>%s</bdi></li>\n", compare_margin_says(compare, mix, line));
    same = compare_margins_same(compare);
    if (*same)
        html_add(page, "<li>the same: <bdi>%s</bdi></li>\n", same);
    free(same);
    html_add(page, "</ul>\n<p class=\"soft\">%s</p>\n</section>\n", PROOF_CARE);
}

/* ---- besides ---- */

static void
add_besides(FILE *page, const struct compare *compare)
{
    const struct offsets *offsets = compare->offsets;
    char line[COMPARE_LINE_SIZE];
    size_t count = 0;

    for (size_t i = 0; i < offsets->count; i++) {
        if (!compare_offset_is_listed(compare, &offsets->list[i]))
            continue;
        if (count++ == 0)
            html_add(page, "<section id=\"offsets\">\n<h2>Another offset, no difference</h2>\n"
                           "<ul>\n");
        html_add(page, "<li><bdi>%s</bdi>%s</li>\n",
                 compare_offset_says(compare, &offsets->list[i], line),
                 offsets->list[i].recognised ? "" : " (perhaps)");
    }
    fputs(count > 0 ? "</ul>\n</section>\n" : "", page);
    if (compare->stands[COMPARE_ASLEEP] > 0)
        html_add(page, "<p class=\"soft\">Behind switches that are off on both sides: %zu.</p>\n",
                 compare->stands[COMPARE_ASLEEP]);
}

static void
add_not_known(FILE *page, const struct compare *compare)
{
    char line[COMPARE_LINE_SIZE];

    if (compare->unknown_count == 0)
        return;
    html_add(page,
             "<section id=\"not-known\">\n<h2>Not known whether they moved (%zu)</h2>\n"
             "<p><bdi>%s</bdi></p>\n<details><summary>Each of them</summary>\n<ul>\n",
             compare->unknown_count, compare_unknown_says(compare, &compare->unknown[0], line));
    for (size_t i = 0; i < compare->unknown_count; i++)
        html_add(page, "<li><bdi>%s</bdi></li>\n",
                 compare_unknown_says(compare, &compare->unknown[i], line));
    html_add(page, "</ul>\n</details>\n</section>\n");
}

void
compare_html(const struct compare *compare, FILE *page)
{
    struct report_findings findings = {.engine = compare->now, .plan = compare->plan};

    add_head(page, compare, &findings);
    if (compare->reference)
        add_paths(page, compare);
    add_moved(page, compare);
    add_findings(page, compare);
    add_proved(page, compare);
    page_add_cards(page, &findings);
    add_besides(page, compare);
    add_not_known(page, compare);
    page_care(page);
    html_end(page);
}
