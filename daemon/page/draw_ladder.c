/* SPDX-License-Identifier: MIT */
/* Gain ladders: one picture an input, all to the same scale. */
#include "page/draw.h"

#include <math.h>
#include <stdlib.h>

#include "core/need.h"
#include "core/text.h"
#include "page/html.h"
#include "sound/ladder.h"

enum { WIDTH = 170, HEIGHT = 94, FOOT = 90, LOWEST_DB = -40, SAID_SIZE = 400 };

static const struct axis across = {0, RUNGS, 4, WIDTH - 4, false};

/* The scale that holds every ladder. */
static struct axis
scale_of(const struct ladder *ladders, int count)
{
    struct axis axis = {0, 10, 76, 14, false};

    for (int i = 0; i < count; i++)
        for (int rung = 0; rung < RUNGS && ladders[i].mix >= 0; rung++) {
            axis.from = fmin(axis.from, ladders[i].level_db[rung]);
            axis.to = fmax(axis.to, ladders[i].level_db[rung]);
        }
    axis.from = fmax(LOWEST_DB, 10 * floor(axis.from / 10));
    axis.to = 10 * ceil(axis.to / 10);
    return axis;
}

/* "14 dB of the preamp are given away again" */
static void
add_behind(struct text *said, const struct ladder *ladder)
{
    double behind_db = ladder->behind_db;

    if (behind_db <= -0.05)
        text_add(said, "%f dB given away again", -behind_db);
    else if (behind_db >= 0.05)
        text_add(said, "%f dB added behind the preamp", behind_db);
    else
        text_add(said, "nothing given away");
}

static const char *
alternative(const struct draw *draw, int input, const struct ladder *ladder, char said[SAID_SIZE])
{
    char name[DRAW_NAME_SIZE], mix[DRAW_NAME_SIZE];
    const double *level_db = ladder->level_db;
    struct text text;

    text_init(&text, said, SAID_SIZE);
    text_add(&text,
             "Gain ladder of input %s into mix %s: preamp %f dB, fader %f dB, send %f dB, "
             "master %f dB, path gain %f dB; ",
             draw_name(draw, PARAM_INPUT_NAME, input, name),
             draw_name(draw, PARAM_MIX_NAME, ladder->mix, mix), level_db[RUNG_PREAMP],
             level_db[RUNG_FADER] - level_db[RUNG_PREAMP],
             level_db[RUNG_SEND] - level_db[RUNG_FADER],
             level_db[RUNG_MASTER] - level_db[RUNG_SEND], level_db[RUNG_MASTER]);
    add_behind(&text, ladder);
    return said;
}

static void
draw_grid(const struct draw *draw, const struct axis *axis)
{
    for (double db = axis->from; db <= axis->to + 0.5; db += 10)
        html_add(draw->page, "<path class=\"%s\" d=\"M4 %.2fH%d\"/>\n", db == 0 ? "zero" : "grid",
                 axis_place(axis, db), WIDTH - 4);
    for (int rung = 0; rung < RUNGS; rung++) {
        double at = rung == 0 ? 0 : rung == RUNGS - 1 ? RUNGS : rung + 0.5; /* outer ones outside */

        html_add(draw->page,
                 "<text class=\"small\" x=\"%.2f\" y=\"%d\" text-anchor=\"%s\">%s</text>\n",
                 axis_place(&across, at), FOOT,
                 rung == 0           ? "start"
                 : rung == RUNGS - 1 ? "end"
                                     : "middle",
                 ladder_rung_name((enum rung)rung));
    }
}

/* What lies between the level and where it would be with everything behind the preamp at unity. */
static void
draw_behind(const struct draw *draw, const struct axis *axis, const struct ladder *ladder)
{
    double unity = axis_place(axis, ladder->level_db[RUNG_PREAMP]);

    html_add(draw->page, "<path class=\"unity\" d=\"M%.2f %.2fH%.2f\"/>\n",
             axis_place(&across, RUNG_PREAMP), unity, across.end);
    for (int rung = RUNG_FADER; rung < RUNGS; rung++) {
        double level = axis_place(axis, ladder->level_db[rung]);

        if (level != unity)
            html_add(draw->page,
                     "<rect class=\"%s\" x=\"%.2f\" y=\"%.2f\" width=\"%.2f\" height=\"%.2f\"/>\n",
                     level > unity ? "away" : "above", axis_place(&across, rung),
                     fmin(level, unity), axis_place(&across, 1) - across.begin,
                     fabs(level - unity));
    }
}

static void
draw_line(const struct draw *draw, const struct axis *axis, const struct ladder *ladder)
{
    html_add(draw->page, "<polyline class=\"level\" points=\"");
    for (int rung = 0; rung < RUNGS; rung++)
        html_add(draw->page, "%s%.2f,%.2f %.2f,%.2f", rung == 0 ? "" : " ",
                 axis_place(&across, rung), axis_place(axis, ladder->level_db[rung]),
                 axis_place(&across, rung + 1), axis_place(axis, ladder->level_db[rung]));
    html_add(draw->page, "\"/>\n");
}

/* What each rung changes, above the line. */
static void
draw_numbers(const struct draw *draw, const struct axis *axis, const struct ladder *ladder)
{
    for (int rung = RUNG_PREAMP; rung < RUNGS; rung++) {
        double change_db = ladder->level_db[rung] - ladder->level_db[rung - 1];
        double upper = fmax(ladder->level_db[rung], ladder->level_db[rung - 1]);

        if (fabs(change_db) >= 0.05)
            html_add(draw->page, "<text x=\"%.2f\" y=\"%.2f\" text-anchor=\"middle\">%+f</text>\n",
                     axis_place(&across, rung + 0.5),
                     axis_place(axis, rung == RUNG_PREAMP ? ladder->level_db[rung] : upper) - 4,
                     change_db);
    }
}

/* The end of the picture, and "18 Ld Vox: own send into 1 Ld Vox wedge, 28 dB; 14 dB given away" */
static void
draw_caption(const struct draw *draw, int input, const struct ladder *ladder)
{
    char name[DRAW_NAME_SIZE], mix[DRAW_NAME_SIZE];

    html_add(
        draw->page,
        "</svg>\n"
        "<figcaption><b><bdi dir=\"ltr\">%s</bdi></b>%s: %sinto <bdi dir=\"ltr\">%s</bdi>, %f dB",
        draw_name(draw, PARAM_INPUT_NAME, input, name), ladder->muted ? " (muted)" : "",
        ladder->own ? "own send " : "", draw_name(draw, PARAM_MIX_NAME, ladder->mix, mix),
        ladder->level_db[RUNG_MASTER]);
    if (ladder->behind_db <= -0.05)
        html_add(draw->page, "; %f dB given away", -ladder->behind_db);
    html_add(draw->page, "</figcaption>\n</figure></li>\n");
}

static void
draw_ladder(const struct draw *draw, int input, const struct ladder *ladder,
            const struct axis *axis)
{
    char said[SAID_SIZE];

    html_add(draw->page,
             "<li><figure id=\"input-%d\">\n" DRAW_SVG
             " data-input=\"%d\" data-mix=\"%d\" data-db=\"%.2f %.2f\" data-y=\"%.2f %.2f\">\n",
             input + 1, WIDTH, HEIGHT, alternative(draw, input, ladder, said), input + 1,
             ladder->mix + 1, axis->from, axis->to, axis->begin, axis->end);
    draw_grid(draw, axis);
    draw_behind(draw, axis, ladder);
    draw_line(draw, axis, ladder);
    draw_numbers(draw, axis, ladder);
    draw_caption(draw, input, ladder);
}

/* "Sent nowhere: 7 Talkback, 9 Spare" */
static void
draw_others(const struct draw *draw, const struct ladder *ladders, int count,
            enum ladder_state state, const char *title)
{
    int named = 0;
    char name[DRAW_NAME_SIZE];

    for (int input = 0; input < count; input++) {
        if (ladders[input].state != state)
            continue;
        fputs(named++ == 0 ? "<p>" : ", ", draw->page);
        html_add(draw->page, "%s<bdi id=\"input-%d\" dir=\"ltr\">%s</bdi>", named == 1 ? title : "",
                 input + 1, draw_name(draw, PARAM_INPUT_NAME, input, name));
    }
    if (named > 0)
        html_add(draw->page, "</p>\n");
}

void
draw_ladders(const struct draw *draw)
{
    int count = desk_count(draw->desk, INDEX_INPUT), shown = 0;
    struct ladder *ladders = need_memory((size_t)count + 1, sizeof *ladders);
    struct axis axis;

    for (int input = 0; input < count; input++)
        ladder_of(draw->desk, draw->show, input, &ladders[input]);
    axis = scale_of(ladders, count);
    for (int input = 0; input < count; input++) {
        if (ladders[input].state != LADDER_SHOWN)
            continue;
        if (shown++ == 0)
            html_add(draw->page, "<ul class=\"pictures\">\n");
        draw_ladder(draw, input, &ladders[input], &axis);
    }
    if (shown > 0)
        html_add(draw->page, "</ul>\n");
    draw_others(draw, ladders, count, LADDER_CLOSED, "Sent nowhere: ");
    draw_others(draw, ladders, count, LADDER_NOT_KNOWN, "Not known: ");
    free(ladders);
}
