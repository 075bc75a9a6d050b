/* SPDX-License-Identifier: MIT */
/* The picture of a monitor desk: one row a mix. */
#include <math.h>
#include <stdlib.h>

#include "check/ears.h"
#include "check/open_microphones.h"
#include "check/too_many_cuts.h"
#include "core/need.h"
#include "page/html.h"
#include "page/page.h"
#include "sound/response.h"

enum { BAR_WIDTH = 100, BAR_HEIGHT = 10, LEAST_SPAN_DB = 6 };

struct row {
    int mix;
    enum feeds feeds;
    bool has_cuts; /* cuts and speech_db are known */
    int cuts;
    double speech_db; /* what they take from speech */
    bool has_open;
    struct open_microphones open;
    size_t of[WEIGHTS], unknown; /* findings of the mix */
};

/* ---- the facts ---- */

static enum feeds
feeds_of(const struct draw *draw, int mix)
{
    static const enum param_id reads[] = {PARAM_MIX_NAME, PARAMS};
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(draw->desk, draw->show, reads, &verdict);

    return look_feeds(&look, mix);
}

static void
read_cuts(const struct draw *draw, struct row *row)
{
    struct response response;

    response_of(draw->desk, draw->show, row->mix, too_many_cuts_from_db(draw->show), &response);
    row->has_cuts = response.has_cuts;
    if (!row->has_cuts)
        return;
    row->cuts = response.cuts.count;
    row->speech_db = row->cuts > 0 ? response.cuts.loss.speech_db : 0;
}

static void
count_findings(const struct report_findings *findings, struct row *row)
{
    struct object object = {-1, row->mix};

    for (size_t i = 0; i < findings->open_count; i++)
        if (findings->list[i]->object.input < 0 && findings->list[i]->object.mix == row->mix)
            row->of[findings->list[i]->verdict.weight]++;
    for (int check = 0; check < CHECKS; check++) {
        size_t slot = engine_find(findings->engine, check, object);

        row->unknown += slot < engine_slots(findings->engine) &&
                        engine_outcome(findings->engine, slot) == OUTCOME_NOT_KNOWN;
    }
}

static struct row
row_of(const struct draw *draw, const struct report_findings *findings, int mix)
{
    struct row row = {.mix = mix, .feeds = feeds_of(draw, mix)};

    read_cuts(draw, &row);
    if (feeds_loudspeaker(row.feeds))
        row.has_open = open_microphones_of(draw->desk, draw->show, mix, &row.open);
    count_findings(findings, &row);
    return row;
}

/* All bars to one scale. */
static struct axis
scale_of(const struct row *rows, int count)
{
    struct axis axis = {0, LEAST_SPAN_DB, 0, BAR_WIDTH, false};

    for (int i = 0; i < count; i++)
        axis.to = fmax(axis.to, ceil(rows[i].speech_db));
    return axis;
}

/* ---- cells ---- */

/* The worst that stands against the mix, and how often. */
static void
add_state(FILE *page, const struct row *row)
{
    enum weight weight = WEIGHT_STOP;

    html_add(page, "<td class=\"words\">");
    while (weight > WEIGHT_NOTE && row->of[weight] == 0)
        weight--;
    if (row->of[weight] > 0) {
        page_badge(page, weight);
        html_add(page, "%zu %s</span>", row->of[weight], weight_name(weight));
    } else {
        fputs(row->unknown > 0 ? "not known" : "right", page);
    }
    html_add(page, "</td>");
}

static void
add_feeds(FILE *page, enum feeds feeds)
{
    static const char *const names[FEEDS_COUNT] = {"?",         "wedge", "side-fill",
                                                   "drum-fill", "ears",  "unused"};

    html_add(page, "<td class=\"words\">%s</td>", names[feeds]);
}

static const char *
grade_word(double severity)
{
    static const char *const words[GRADES] = {
        [GRADE_UNKNOWN] = "limiter ?",      [GRADE_GOOD] = "limiter on",
        [GRADE_HOLDS_ON] = "long release",  [GRADE_SLOW] = "slow limiter",
        [GRADE_HIGH] = "limiter far above", [GRADE_DIFFERS] = "ears differ",
        [GRADE_SOFT] = "soft limiter",      [GRADE_SOFTER] = "soft limiter",
        [GRADE_LATE] = "late limiter",      [GRADE_NOTHING] = "LIMITS NOTHING",
        [GRADE_OFF] = "NO LIMITER"};

    return words[(int)severity];
}

/* What the check of in-ear mixes says, in a word. */
static void
add_protection(FILE *page, const struct report_findings *findings, const struct row *row)
{
    const struct engine *engine = findings->engine;
    size_t slot = engine_find(engine, CHECK_EARS_UNPROTECTED, (struct object){-1, row->mix});
    enum outcome outcome =
        slot < engine_slots(engine) ? engine_outcome(engine, slot) : OUTCOME_NOT_ASKED;

    html_add(page, "<td class=\"words\">");
    if (outcome == OUTCOME_FINDING) {
        const struct finding *finding = engine_slot(engine, slot);

        page_badge(page, finding->verdict.weight);
        html_add(page, "%s</span>%s", grade_word(finding->verdict.severity),
                 finding->accept >= 0 ? " accepted" : "");
    } else if (outcome == OUTCOME_PASS) {
        html_add(page, "limiter on");
    } else if (outcome == OUTCOME_FOLDED) {
        html_add(page, "as the other ear");
    } else if (outcome == OUTCOME_NOT_KNOWN && row->feeds == FEEDS_IN_EAR) {
        html_add(page, "not known");
    } else if (row->feeds == FEEDS_IN_EAR) {
        html_add(page, "elsewhere");
    }
    html_add(page, "</td>");
}

/* In bold where it is a finding, with a mark where that is accepted. */
static void
add_master(FILE *page, const struct report_findings *findings, const struct row *row)
{
    const struct engine *engine = findings->engine;
    const struct value *value = desk_value(engine_desk(engine), PARAM_MIX_FADER, row->mix, 0);
    size_t slot = engine_find(engine, CHECK_MASTER_OFF_UNITY, (struct object){-1, row->mix});
    bool fails = slot < engine_slots(engine) && engine_outcome(engine, slot) == OUTCOME_FINDING;
    bool accepted = fails && engine_slot(engine, slot)->accept >= 0;

    if (value->state != VALUE_KNOWN) {
        html_add(page, "<td>?</td>");
        return;
    }
    html_add(page, fails && !accepted ? "<td><b>%+f</b>" : "<td>%+f", value_number(value));
    fputs(accepted ? " \xe2\x9c\x93<span class=\"unseen\"> accepted</span></td>" : "</td>", page);
}

static void
add_bar(FILE *page, const struct row *row, const struct axis *axis)
{
    html_add(page,
             "<td class=\"bars\"><svg class=\"bar\" viewBox=\"0 0 %d %d\" "
             "preserveAspectRatio=\"none\" aria-hidden=\"true\" data-db=\"%.2f %.2f\" "
             "data-x=\"%.2f %.2f\"><path class=\"zero\" d=\"M0.5 0V%d\"/>",
             BAR_WIDTH, BAR_HEIGHT, axis->from, axis->to, axis->begin, axis->end, BAR_HEIGHT);
    if (row->speech_db > 0)
        html_add(page, "<rect class=\"taken\" x=\"0\" y=\"1\" width=\"%.2f\" height=\"8\"/>",
                 axis_place(axis, row->speech_db));
    html_add(page, "</svg></td>");
}

static void
add_cuts(FILE *page, const struct row *row, const struct axis *axis)
{
    if (!row->has_cuts) {
        html_add(page, "<td>?</td><td class=\"bars\"></td><td>?</td>");
        return;
    }
    if (row->cuts == 0) {
        html_add(page, "<td>\xe2\x80\x93</td>");
        add_bar(page, row, axis);
        html_add(page, "<td></td>");
        return;
    }
    html_add(page, "<td>%d</td>", row->cuts);
    add_bar(page, row, axis);
    html_add(page, "<td>%+f</td>", -row->speech_db);
}

static void
add_open(FILE *page, const struct row *row)
{
    if (!feeds_loudspeaker(row->feeds))
        html_add(page, "<td></td>");
    else if (!row->has_open)
        html_add(page, "<td>?</td>");
    else if (row->open.count < 2)
        html_add(page, "<td>%d</td>", row->open.count);
    else
        html_add(page, "<td>%d (%+f)</td>", row->open.count, row->open.sum_db);
}

/* ---- the table ---- */

static void
add_row(const struct draw *draw, const struct report_findings *findings, const struct row *row,
        const struct axis *axis)
{
    char name[DRAW_NAME_SIZE];

    html_add(draw->page,
             "<tr id=\"row-%d\"><th scope=\"row\"><a href=\"#mix-%d\"><bdi dir=\"ltr\">%s</bdi></a>"
             "</th>",
             row->mix + 1, row->mix + 1, draw_name(draw, PARAM_MIX_NAME, row->mix, name));
    add_state(draw->page, row);
    add_protection(draw->page, findings, row);
    add_feeds(draw->page, row->feeds);
    add_master(draw->page, findings, row);
    add_cuts(draw->page, row, axis);
    add_open(draw->page, row);
    html_add(draw->page, "</tr>\n");
}

static void
add_table(const struct draw *draw, const struct report_findings *findings, int count)
{
    struct row *rows = need_memory((size_t)count, sizeof *rows);
    struct axis axis;

    for (int mix = 0; mix < count; mix++)
        rows[mix] = row_of(draw, findings, mix);
    axis = scale_of(rows, count);
    html_add(draw->page,
             "<section class=\"scroll\" tabindex=\"0\" aria-label=\"The mixes\">\n"
             "<table class=\"mixes\">\n<thead><tr><th scope=\"col\" class=\"words\">mix</th>"
             "<th scope=\"col\" class=\"words\">state</th>"
             "<th scope=\"col\" class=\"words\">protection</th>"
             "<th scope=\"col\" class=\"words\">feeds</th><th scope=\"col\">master dB</th>"
             "<th scope=\"col\">cuts</th><th scope=\"col\" colspan=\"2\" class=\"words\">level the "
             "cuts take from speech, dB</th><th scope=\"col\">open mics (sum, "
             "dB)</th></tr></thead>\n<tbody>\n");
    for (int mix = 0; mix < count; mix++)
        add_row(draw, findings, &rows[mix], &axis);
    html_add(draw->page, "</tbody>\n</table>\n</section>\n");
    free(rows);
}

void
page_add_mixes(FILE *page, const struct report_findings *findings)
{
    struct draw draw = {page, engine_desk(findings->engine), engine_show(findings->engine)};
    int count = desk_count(draw.desk, INDEX_MIX);

    html_add(page, "<section id=\"mixes\">\n<h2>The mixes</h2>\n");
    if (count == 0) {
        html_add(page, "<p>The profile counts none.</p>\n</section>\n");
        return;
    }
    add_table(&draw, findings, count);
    html_add(page,
             "<p class=\"soft\">A mix opens its equaliser. Open microphones: in brackets what "
             "the powers of their sends come to together, above the loudest alone; by so much "
             "a mix howls earlier (10 log10 N where all are as loud). \xe2\x9c\x93: accepted in "
             "the show "
             "file.</p>\n</section>\n");
}
