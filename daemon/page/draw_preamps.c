/* SPDX-License-Identifier: MIT */
/* Where preamp gain goes: what every path behind a preamp takes away again is hatched. */
#include "page/draw.h"

#include <math.h>
#include <stdlib.h>

#include "check/own_send.h"
#include "core/need.h"
#include "core/text.h"
#include "page/html.h"
#include "sound/corner.h"

enum { BAR_WIDTH = 240, PASS_WIDTH = 120, HEIGHT = 12, STEP_DB = 10, HATCH = 4 };

/* Below this a row is folded away. */
static const double folded_db = 2;

static const struct axis across_hz = {16, 1000, 0, PASS_WIDTH, true};

struct row {
    int input;
    bool known;
    struct surplus surplus;
    struct own_send own; /* mix -1 where it is not known, too */
    struct corner corner;
};

/* ---- the facts ---- */

static struct row
row_of(const struct draw *draw, int input)
{
    static const enum param_id reads[] = {OWN_SEND_READS, PARAMS};
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(draw->desk, draw->show, reads, &verdict);
    struct row row = {.input = input};

    row.known = surplus_of(&look, input, &row.surplus);
    if (!own_send_of(&look, input, &row.own))
        row.own.mix = -1;
    corner_of(draw->desk, draw->show, input, &row.corner);
    return row;
}

static bool
is_shown(const struct row *row)
{
    return row->known && row->surplus.open;
}

static int
more_unused(const void *one, const void *other)
{
    const struct row *a = one, *b = other;

    if (is_shown(a) && is_shown(b) && a->surplus.surplus_db != b->surplus.surplus_db)
        return a->surplus.surplus_db < b->surplus.surplus_db ? 1 : -1;
    return a->input - b->input;
}

static struct axis
scale_of(const struct row *rows, int count)
{
    struct axis axis = {0, STEP_DB, 0, BAR_WIDTH, false};

    for (int i = 0; i < count; i++)
        if (is_shown(&rows[i])) {
            axis.from = fmin(axis.from, rows[i].surplus.preamp_db - rows[i].surplus.surplus_db);
            axis.to = fmax(axis.to, rows[i].surplus.preamp_db);
        }
    axis.from = STEP_DB * floor(axis.from / STEP_DB);
    axis.to = STEP_DB * ceil(axis.to / STEP_DB);
    return axis;
}

/* ---- a row ---- */

/* Strokes that lean over the part, and end inside it. */
static void
add_hatch(FILE *page, double from, double to)
{
    html_add(page, "<rect class=\"unused\" x=\"%.2f\" y=\"1\" width=\"%.2f\" height=\"10\"/>", from,
             to - from);
    html_add(page, "<path class=\"hatch\" d=\"");
    for (double x = from; x + HATCH <= to; x += HATCH)
        html_add(page, "M%.2f 11L%.2f 1", x, x + HATCH);
    fputs("\"/>", page);
}

static void
add_bar(FILE *page, const struct row *row, const struct axis *axis)
{
    double zero = axis_place(axis, 0), top = axis_place(axis, row->surplus.preamp_db);
    double used = axis_place(axis, row->surplus.preamp_db - row->surplus.surplus_db);

    html_add(page,
             "<td class=\"bars\"><svg class=\"bar\" viewBox=\"0 0 %d %d\" "
             "preserveAspectRatio=\"none\" aria-hidden=\"true\" data-input=\"%d\" data-db=\"%.2f "
             "%.2f\" data-x=\"%.2f %.2f\">",
             BAR_WIDTH, HEIGHT, row->input + 1, axis->from, axis->to, axis->begin, axis->end);
    for (double db = axis->from; db <= axis->to + 0.5; db += STEP_DB)
        html_add(page, "<path class=\"%s\" d=\"M%.2f 0V%d\"/>", db == 0 ? "zero" : "grid",
                 axis_place(axis, db), HEIGHT);
    html_add(page, "<rect class=\"used\" x=\"%.2f\" y=\"1\" width=\"%.2f\" height=\"10\"/>",
             fmin(zero, used), fabs(used - zero));
    if (row->surplus.surplus_db >= 0.05)
        add_hatch(page, used, top);
    html_add(page, "</svg></td>");
}

static void
add_own(const struct draw *draw, const struct row *row)
{
    if (row->own.mix < 0)
        html_add(draw->page, "<td>%s</td>", row->own.closed ? "closed" : "\xe2\x80\x93");
    else
        html_add(draw->page, "<td>%+f <span class=\"soft\">(%d)</span></td>", row->own.db,
                 row->own.mix + 1);
}

/* Of those that want one, how the filter stands to the usual corners and the lowest note. */
static void
add_pass(FILE *page, const struct corner *corner)
{
    html_add(page,
             "<td class=\"bars pass\"><svg class=\"bar\" viewBox=\"0 0 %d %d\" "
             "preserveAspectRatio=\"none\" aria-hidden=\"true\" data-hz=\"%.2f %.2f\" "
             "data-x=\"%.2f %.2f\">",
             PASS_WIDTH, HEIGHT, across_hz.from, across_hz.to, across_hz.begin, across_hz.end);
    if (corner->source && corner->source->wants_high_pass) {
        double low = axis_place(&across_hz, corner->source->corner_low_hz);

        html_add(page, "<rect class=\"usual\" x=\"%.2f\" y=\"0\" width=\"%.2f\" height=\"%d\"/>",
                 low, axis_place(&across_hz, corner->source->corner_high_hz) - low, HEIGHT);
    }
    if (corner->lowest_hz > 0)
        html_add(page, "<path class=\"lowest\" d=\"M%.2f 0V%d\"/>",
                 axis_place(&across_hz, corner->lowest_hz), HEIGHT);
    if (corner->known && corner->on)
        html_add(page, "<path class=\"corner\" d=\"M%.2f 0V%d\"/>",
                 axis_place(&across_hz, corner->hz), HEIGHT);
    html_add(page, "</svg></td>");
}

/* What the picture shows, for those who listen. */
static void
add_unseen(FILE *page, const struct corner *corner)
{
    char says[200];
    struct text text;

    text_init(&text, says, sizeof says);
    if (corner->source && corner->source->wants_high_pass)
        text_add(&text, ", usual %f to %f Hz", corner->source->corner_low_hz,
                 corner->source->corner_high_hz);
    if (corner->lowest_hz > 0)
        text_add(&text, ", lowest note %f Hz", corner->lowest_hz);
    if (corner->known && corner->on && corner->lowest_hz > 0)
        text_add(&text, ", %f dB off it", corner->loss_db);
    if (text.used > 0)
        html_add(page, "<span class=\"unseen\">%s</span>", says);
}

/* "100 Hz" */
static void
add_pass_words(FILE *page, const struct corner *corner)
{
    if (!corner->known)
        html_add(page, "<td>?");
    else if (corner->on)
        html_add(page, "<td>%f Hz", corner->hz);
    else
        html_add(page, "<td>off");
    add_unseen(page, corner);
    html_add(page, "</td>");
}

static void
add_row(const struct draw *draw, const struct row *row, const struct axis *axis)
{
    bool unused = row->surplus.surplus_db >= 0.05;
    FILE *page = draw->page;
    char name[DRAW_NAME_SIZE];

    html_add(page, "<tr><th scope=\"row\"><bdi dir=\"ltr\">%s</bdi></th>",
             draw_name(draw, PARAM_INPUT_NAME, row->input, name));
    add_bar(page, row, axis);
    html_add(page, unused ? "<td><b>%f</b></td>" : "<td>0</td>", row->surplus.surplus_db);
    html_add(page, "<td>%f</td>", row->surplus.preamp_db);
    add_own(draw, row);
    add_pass(page, &row->corner);
    add_pass_words(page, &row->corner);
    html_add(page, "</tr>\n");
}

/* ---- the tables ---- */

/* Rows from one up to another. */
static void
add_table(const struct draw *draw, const struct row *rows, int count, const struct axis *axis,
          const char *title)
{
    html_add(draw->page,
             "<section class=\"scroll\" tabindex=\"0\" aria-label=\"%s\">\n"
             "<table class=\"preamps\">\n<thead><tr><th scope=\"col\" class=\"words\">input</th>"
             "<th scope=\"col\" class=\"words\">preamp, %f to %f dB</th>"
             "<th scope=\"col\">not used, dB</th><th scope=\"col\">preamp, dB</th>"
             "<th scope=\"col\">own send, dB (mix)</th>"
             "<th scope=\"col\" colspan=\"2\" class=\"words\">high-pass, 16 Hz to 1 kHz</th></tr>"
             "</thead>\n<tbody>\n",
             title, axis->from, axis->to);
    for (int i = 0; i < count; i++)
        add_row(draw, &rows[i], axis);
    html_add(draw->page, "</tbody>\n</table>\n</section>\n");
}

/* "Not known: 7 Talkback, 9 Spare" */
static void
add_others(const struct draw *draw, const struct row *rows, int count, bool known,
           const char *title)
{
    char name[DRAW_NAME_SIZE];
    int named = 0;

    for (int i = 0; i < count; i++) {
        if (is_shown(&rows[i]) || rows[i].known != known)
            continue;
        html_add(draw->page, named++ == 0 ? "<p>%s: " : ", ", title);
        html_add(draw->page, "<bdi dir=\"ltr\">%s</bdi>",
                 draw_name(draw, PARAM_INPUT_NAME, rows[i].input, name));
    }
    fputs(named > 0 ? ".</p>\n" : "", draw->page);
}

/* Those that are shown come first, what is worth looking at in front. For free(). */
static struct row *
rows_of(const struct draw *draw, int count, int *open, int *shown)
{
    struct row *rows = need_memory((size_t)count, sizeof *rows);
    int at = 0;

    for (int pass = 0; pass < 2; pass++)
        for (int input = 0; input < count; input++) {
            struct row row = row_of(draw, input);

            if (is_shown(&row) == (pass == 0))
                rows[at++] = row;
        }
    *open = *shown = 0;
    while (*open < count && is_shown(&rows[*open]))
        ++*open;
    qsort(rows, (size_t)*open, sizeof *rows, more_unused);
    while (*shown < *open && rows[*shown].surplus.surplus_db >= folded_db)
        ++*shown;
    return rows;
}

void
draw_preamps(const struct draw *draw)
{
    int count = desk_count(draw->desk, INDEX_INPUT), open, shown;
    struct row *rows;
    struct axis axis;

    if (count == 0)
        return;
    rows = rows_of(draw, count, &open, &shown);
    axis = scale_of(rows, open);
    if (open > 0)
        html_add(draw->page,
                 "<p class=\"soft\">Hatched: taken away again by every path, so a slip brings it "
                 "back. High-pass: the thick line is the corner, grey the usual corners, the thin "
                 "line the lowest note.</p>\n");
    if (shown > 0)
        add_table(draw, rows, shown, &axis, "Preamp gain that is not used");
    else if (open > 0)
        html_add(draw->page, "<p>No preamp has 2 dB that are not used.</p>\n");
    if (open > shown) {
        html_add(draw->page, "<details><summary>%d inputs give away less than 2 dB</summary>\n",
                 open - shown);
        add_table(draw, rows + shown, open - shown, &axis, "The other inputs");
        html_add(draw->page, "</details>\n");
    }
    add_others(draw, rows, count, true, "Muted, or sent nowhere");
    add_others(draw, rows, count, false, "Not known");
    free(rows);
}
