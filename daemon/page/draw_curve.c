/* SPDX-License-Identifier: MIT */
/* Equaliser curves: response of each mix's equalisers and high-pass over frequency. */
#include "page/draw.h"

#include <math.h>

#include "check/too_many_cuts.h"
#include "core/text.h"
#include "page/html.h"
#include "sound/graphic.h"
#include "sound/response.h"

enum { WIDTH = 300, HEIGHT = 124, FOOT = 120, COST_SIZE = 200, SAID_SIZE = 300, STEP_DB = 6 };

/* Below this a curve runs along the foot of its picture: a high-pass has no end. */
static const double lowest_db = -24;

static const double speech_from_hz = 160, speech_to_hz = 8000; /* bands of ANSI S3.5 used here */

struct curve {
    const struct draw *draw;
    const struct response *response;
    struct axis across, up;
};

static struct axis
scale_of(const struct response *response)
{
    struct axis axis = {-18, 6, 106, 6, false};

    for (int i = 0; i < response->count; i++) {
        axis.from = fmin(axis.from, fmax(lowest_db, response->db[i]));
        axis.to = fmax(axis.to, response->db[i]);
    }
    axis.from = STEP_DB * floor(axis.from / STEP_DB);
    axis.to = STEP_DB * ceil(axis.to / STEP_DB);
    return axis;
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

static void
draw_grid(const struct curve *curve)
{
    static const struct {
        double hz;
        const char *label;
    } lines[] = {{31.5, "31"}, {63, "63"},   {125, "125"}, {250, "250"}, {500, "500"},
                 {1000, "1k"}, {2000, "2k"}, {4000, "4k"}, {8000, "8k"}, {16000, "16k"}};
    FILE *page = curve->draw->page;

    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        double x = axis_place(&curve->across, lines[i].hz);

        html_add(page,
                 "<path class=\"grid\" d=\"M%.2f %.2fV%.2f\"/>"
                 "<text class=\"small\" x=\"%.2f\" y=\"%d\" text-anchor=\"middle\">%s</text>\n",
                 x, curve->up.end, curve->up.begin, x, FOOT, lines[i].label);
    }
    for (double db = curve->up.from; db <= curve->up.to + 0.5; db += STEP_DB) {
        double y = axis_place(&curve->up, db);

        html_add(page,
                 "<path class=\"%s\" d=\"M%.2f %.2fH%.2f\"/>"
                 "<text class=\"small\" x=\"22\" y=\"%.2f\" text-anchor=\"end\">%f</text>\n",
                 db == 0 ? "zero" : "grid", curve->across.begin, y, curve->across.end, y + 3, db);
    }
}

/* A mark at the place and depth of each cut; a bar where it is several bands. */
static void
draw_cuts(const struct curve *curve)
{
    const struct cuts *cuts = &curve->response->cuts;

    for (int i = 0; i < cuts->count; i++) {
        double low = axis_place(&curve->across, cuts->list[i].low_hz);
        double top = axis_place(&curve->across, cuts->list[i].top_hz);
        double y = axis_place(&curve->up, fmax(cuts->list[i].gain_db, curve->up.from));

        html_add(curve->draw->page, "<path class=\"cut\" d=\"M%.2f %.2fl-4 -7H%.2fl-4 7z\"/>\n",
                 low, y, top + 4);
    }
}

static void
draw_line(const struct curve *curve)
{
    const struct response *response = curve->response;
    FILE *page = curve->draw->page;

    html_add(page, "<polyline class=\"curve\" points=\"");
    for (int i = 0; i < response->count; i++)
        html_add(page, "%s%.2f,%.2f", i == 0 ? "" : " ",
                 axis_place(&curve->across, response->hz[i]),
                 axis_place(&curve->up, response->db[i]));
    html_add(page, "\"/>\n");
}

static void
draw_loss(const struct curve *curve)
{
    const struct cuts *cuts = &curve->response->cuts;
    double y = axis_place(&curve->up, -cuts->loss.speech_db);
    double end = axis_place(&curve->across, speech_to_hz);

    if (cuts->count == 0)
        return;
    html_add(curve->draw->page,
             "<path class=\"loss\" d=\"M%.2f %.2fH%.2f\"/>\n"
             "<text x=\"%.2f\" y=\"%.2f\">%+f</text>\n",
             axis_place(&curve->across, speech_from_hz), y, end, end + 2, y + 3,
             -cuts->loss.speech_db);
}

static void
draw_picture(const struct draw *draw, int mix, const struct response *response, const char *cost)
{
    struct curve curve = {draw, response, {20, 20000, 26, WIDTH - 4, true}, scale_of(response)};
    char said[SAID_SIZE], name[DRAW_NAME_SIZE];

    snprintf(said, sizeof said, "Equaliser curve of mix %s: %s",
             draw_name(draw, PARAM_MIX_NAME, mix, name), cost);
    html_add(draw->page,
             DRAW_SVG
             " data-mix=\"%d\" data-hz=\"%.2f %.2f\" data-x=\"%.2f %.2f\" data-db=\"%.2f %.2f\" "
             "data-y=\"%.2f %.2f\">\n",
             WIDTH, HEIGHT, said, mix + 1, curve.across.from, curve.across.to, curve.across.begin,
             curve.across.end, curve.up.from, curve.up.to, curve.up.begin, curve.up.end);
    draw_grid(&curve);
    if (response->has_cuts) {
        draw_loss(&curve);
        draw_cuts(&curve);
    }
    draw_line(&curve);
    html_add(draw->page, "</svg>\n");
}

static void
draw_curve(const struct draw *draw, int mix)
{
    struct response response;
    char name[DRAW_NAME_SIZE], cost[COST_SIZE] = "";

    response_of(draw->desk, draw->show, mix, too_many_cuts_from_db(draw->show), &response);
    html_add(draw->page, "<li><figure id=\"mix-%d\">\n", mix + 1);
    if (response.known)
        draw_picture(draw, mix, &response, cost_of(&response, cost));
    html_add(draw->page,
             "<figcaption><b><bdi dir=\"ltr\">%s</bdi></b>: %s</figcaption>\n</figure></li>\n",
             draw_name(draw, PARAM_MIX_NAME, mix, name),
             response.known ? cost : "its filters are not known");
}

void
draw_curves(const struct draw *draw)
{
    int count = desk_count(draw->desk, INDEX_MIX);

    if (count == 0)
        return;
    html_add(draw->page, "<p class=\"soft\">A triangle points at each cut; the broken line is what "
                         "the cuts leave of speech.</p>\n<ul class=\"pictures curves\">\n");
    for (int mix = 0; mix < count; mix++)
        draw_curve(draw, mix);
    html_add(draw->page, "</ul>\n");
}
