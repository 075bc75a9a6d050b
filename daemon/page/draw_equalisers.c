/* SPDX-License-Identifier: MIT */
/* Equalisers of the mixes on one fixed scale: a stem for each band, the response as a line, what the
 * high-pass takes as grey ground, the figures below.
 */
#include "page/draw.h"

#include <math.h>
#include <stdlib.h>

#include "check/too_many_cuts.h"
#include "core/need.h"
#include "core/text.h"
#include "page/html.h"
#include "sound/graphic.h"
#include "sound/response.h"

enum { WIDTH = 300, HEIGHT = 132, FOOT = 128, STEP_DB = 6, COST_SIZE = 200, SAID_SIZE = 300 };

/* What lies beyond stands at the edge, and its figure below. */
static const struct axis across = {20, 20000, 28, WIDTH - 4, true};
static const struct axis up = {-18, 12, 112, 6, false};

struct picture {
    int mix;
    struct response response;
    struct filters filters; /* of response.known */
};

/* ---- the facts ---- */

static void
read_picture(const struct draw *draw, int mix, struct picture *picture)
{
    static const enum param_id reads[] = {PATH_MIX_FILTER_READS, PARAMS};
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(draw->desk, draw->show, reads, &verdict);

    picture->mix = mix;
    response_of(draw->desk, draw->show, mix, too_many_cuts_from_db(draw->show), &picture->response);
    picture->response.known &= path_mix_filters(&look, mix, &picture->filters);
}

static bool
is_flat(const struct picture *picture)
{
    return picture->response.known && picture->filters.count == 0 &&
           picture->filters.high_pass_order == 0;
}

static bool
is_shown(const struct picture *picture)
{
    return picture->response.known && !is_flat(picture);
}

/* Only a peak or shelf has a gain. */
static bool
has_stem(const struct control *control)
{
    return control->shape == SHAPE_PEAK || control->shape == SHAPE_NOTCH ||
           control->shape == SHAPE_LOW_SHELF || control->shape == SHAPE_HIGH_SHELF;
}

static double
stem_db(const struct control *control)
{
    return control->shape == SHAPE_NOTCH ? -HUGE_VAL : control->gain_db;
}

/* "9 cuts: 3.5 dB off speech, 1.8 dB off pink noise (graphic bands taken as 1/3 octave wide)" */
static const char *
cost_of(const struct response *response, char cost[COST_SIZE])
{
    const struct cuts *cuts = &response->cuts;
    const struct loss *loss = &cuts->loss;
    struct text text;

    text_init(&text, cost, COST_SIZE);
    if (!response->has_cuts)
        text_add(&text, "its cuts are not known");
    else if (cuts->count == 0)
        text_add(&text, "no cuts");
    else
        text_add(&text, "%d cut%s: %f dB %s speech, %f dB %s pink noise", cuts->count,
                 cuts->count == 1 ? "" : "s", fabs(loss->speech_db),
                 loss->speech_db < 0 ? "onto" : "off", fabs(loss->pink_db),
                 loss->pink_db < 0 ? "onto" : "off");
    if (response->has_cuts && cuts->count > 0 && cuts->filters.graphic_most > 0) {
        text_add(&text, " (graphic bands taken as ");
        graphic_add_octaves(&text, cuts->filters.graphic_least, cuts->filters.graphic_most);
        text_add(&text, " wide)");
    }
    return cost;
}

/* ---- the picture ---- */

static void
add_grid(FILE *page)
{
    static const struct {
        double hz;
        const char *label;
    } lines[] = {{31.5, "31"}, {63, "63"},   {125, "125"}, {250, "250"}, {500, "500"},
                 {1000, "1k"}, {2000, "2k"}, {4000, "4k"}, {8000, "8k"}, {16000, "16k"}};

    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        double x = axis_place(&across, lines[i].hz);

        html_add(page,
                 "<path class=\"grid\" d=\"M%.2f %.2fV%.2f\"/>"
                 "<text class=\"small\" x=\"%.2f\" y=\"%d\" text-anchor=\"middle\">%s</text>\n",
                 x, up.end, up.begin, x, FOOT, lines[i].label);
    }
    for (double db = up.from; db <= up.to; db += STEP_DB) {
        double y = axis_place(&up, db);

        html_add(page,
                 "<path class=\"%s\" d=\"M%.2f %.2fH%.2f\"/>"
                 "<text class=\"small\" x=\"24\" y=\"%.2f\" text-anchor=\"end\">%+f</text>\n",
                 db == 0 ? "zero" : "grid", across.begin, y, across.end, y + 3, db);
    }
}

/* Between 0 dB and the high-pass alone, as far as it takes a tenth of a dB. */
static void
add_ground(FILE *page, const struct filters *filters)
{
    enum { POINTS = 60 };

    if (filters->high_pass_order == 0)
        return;
    html_add(page, "<polygon class=\"ground\" points=\"%.2f,%.2f", axis_place(&across, across.from),
             axis_place(&up, 0));
    for (int i = 0; i <= POINTS; i++) {
        double hz = across.from * pow(across.to / across.from, (double)i / POINTS);
        double db = filter_high_pass_db(filters->high_pass_order, filters->high_pass_hz, hz,
                                        filters->rate_hz);

        html_add(page, " %.2f,%.2f", axis_place(&across, hz), axis_place(&up, db));
        if (db > -0.1)
            break;
    }
    html_add(page, "\"/>\n");
}

static void
add_stems(FILE *page, const struct filters *filters)
{
    double zero = axis_place(&up, 0);

    for (int i = 0; i < filters->count; i++) {
        const struct control *control = &filters->controls[i];
        double x = axis_place(&across, control->freq_hz), db = stem_db(control);

        if (has_stem(control))
            html_add(page,
                     "<path class=\"stem %s\" d=\"M%.2f %.2fV%.2f\"/>"
                     "<circle class=\"%s\" cx=\"%.2f\" cy=\"%.2f\" r=\"2.4\"/>\n",
                     db < 0 ? "cut" : "boost", x, zero, axis_place(&up, db),
                     db < 0 ? "cut" : "boost", x, axis_place(&up, db));
    }
}

static void
add_line(FILE *page, const struct response *response)
{
    html_add(page, "<polyline class=\"curve\" points=\"");
    for (int i = 0; i < response->count; i++)
        html_add(page, "%s%.2f,%.2f", i == 0 ? "" : " ", axis_place(&across, response->hz[i]),
                 axis_place(&up, response->db[i]));
    html_add(page, "\"/>\n");
}

static void
add_svg(const struct draw *draw, const struct picture *picture, const char *cost)
{
    char said[SAID_SIZE], name[DRAW_NAME_SIZE];

    snprintf(said, sizeof said, "Equaliser of mix %s: %s",
             draw_name(draw, PARAM_MIX_NAME, picture->mix, name), cost);
    html_add(draw->page,
             "<svg viewBox=\"0 0 %d %d\" role=\"img\" aria-label=\"%s\" data-mix=\"%d\" "
             "data-hz=\"%.2f %.2f\" data-x=\"%.2f %.2f\" data-db=\"%.2f %.2f\" "
             "data-y=\"%.2f %.2f\">\n",
             WIDTH, HEIGHT, said, picture->mix + 1, across.from, across.to, across.begin,
             across.end, up.from, up.to, up.begin, up.end);
    add_ground(draw->page, &picture->filters);
    add_grid(draw->page);
    add_stems(draw->page, &picture->filters);
    add_line(draw->page, &picture->response);
    html_add(draw->page, "</svg>\n");
}

/* ---- the figures ---- */

static double
printed_hz(const struct draw *draw, const struct control *control)
{
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(draw->desk, draw->show, (enum param_id[]){PARAMS}, &verdict);

    return cuts_printed_hz(&look, control);
}

/* "160 Hz −3, 250 Hz −6" */
static void
add_figures(const struct draw *draw, const struct filters *filters)
{
    int named = 0;

    html_add(draw->page, "<p class=\"bands\">");
    for (int i = 0; i < filters->count; i++) {
        const struct control *control = &filters->controls[i];

        if (!has_stem(control))
            continue;
        html_add(draw->page, "%s<span>%f Hz ", named++ > 0 ? ", " : "", printed_hz(draw, control));
        html_add(draw->page, control->shape == SHAPE_NOTCH ? "notch</span>" : "%+f</span>",
                 control->gain_db);
    }
    if (filters->high_pass_order > 0)
        html_add(draw->page, "%s<span>high-pass %f Hz</span>", named > 0 ? "; " : "",
                 filters->high_pass_hz);
    html_add(draw->page, "</p>\n");
}

static void
add_picture(const struct draw *draw, const struct picture *picture)
{
    const struct response *response = &picture->response;
    char name[DRAW_NAME_SIZE], cost[COST_SIZE];

    cost_of(response, cost);
    html_add(draw->page,
             "<li><figure id=\"mix-%d\">\n<figcaption><b><bdi dir=\"ltr\">%s</bdi></b>: %s"
             "</figcaption>\n",
             picture->mix + 1, draw_name(draw, PARAM_MIX_NAME, picture->mix, name), cost);
    add_svg(draw, picture, cost);
    html_add(draw->page, "</figure>\n");
    add_figures(draw, &picture->filters);
    html_add(draw->page, "</li>\n");
}

/* ---- all of them ---- */

/* "Flat, without a filter: 7 Bass IEM, 8 Drums IEM." */
static void
add_others(const struct draw *draw, const struct picture *pictures, int count, bool known,
           const char *title)
{
    char name[DRAW_NAME_SIZE];
    int named = 0;

    for (int i = 0; i < count; i++) {
        if (is_shown(&pictures[i]) || pictures[i].response.known != known)
            continue;
        html_add(draw->page, named++ == 0 ? "<p>%s: " : ", ", title);
        html_add(draw->page, "<bdi id=\"mix-%d\" dir=\"ltr\">%s</bdi>", pictures[i].mix + 1,
                 draw_name(draw, PARAM_MIX_NAME, pictures[i].mix, name));
    }
    fputs(named > 0 ? ".</p>\n" : "", draw->page);
}

void
draw_equalisers(const struct draw *draw)
{
    int count = desk_count(draw->desk, INDEX_MIX), shown = 0;
    struct picture *pictures = need_memory((size_t)count + 1, sizeof *pictures);

    for (int mix = 0; mix < count; mix++) {
        read_picture(draw, mix, &pictures[mix]);
        shown += is_shown(&pictures[mix]);
    }
    if (shown > 0)
        html_add(
            draw->page,
            "<p class=\"soft\">All on one scale, dB over Hz. A stem is a band as it is set, the "
            "line is what all of them do together, grey is what the high-pass takes.</p>\n"
            "<ul class=\"pictures\">\n");
    for (int mix = 0; mix < count; mix++)
        if (is_shown(&pictures[mix]))
            add_picture(draw, &pictures[mix]);
    fputs(shown > 0 ? "</ul>\n" : "", draw->page);
    add_others(draw, pictures, count, true, "Flat, without a filter");
    add_others(draw, pictures, count, false, "Not known");
    free(pictures);
}
