/* SPDX-License-Identifier: MIT */
/* High-passes: where each input's corner stands beside its lowest note. */
#include "page/draw.h"

#include "core/text.h"
#include "page/html.h"
#include "sound/corner.h"

enum { WIDTH = 360, HEAD = 16, ROW = 13, NAME_COLUMNS = 16, SAID_SIZE = 300 };

static const struct axis across = {16, 1000, 112, 300, true};

/* The show file tells a note, also of a drummer. */
static const char *
lowest_of(const struct corner *corner)
{
    bool own = corner->source && corner->lowest_hz == corner->source->lowest_hz;

    return own ? source_lowest(corner->source) : "lowest note";
}

/* One row for those who do not see the picture. */
static const char *
alternative(const struct draw *draw, int input, const struct corner *corner, char said[SAID_SIZE])
{
    char name[DRAW_NAME_SIZE];
    struct text text;

    text_init(&text, said, SAID_SIZE);
    text_add(&text, "%s: high-pass ", draw_name(draw, PARAM_INPUT_NAME, input, name));
    if (corner->known && corner->on)
        text_add(&text, "at %f Hz", corner->hz);
    else
        text_add(&text, corner->known ? "off" : "not known");
    if (corner->lowest_hz > 0)
        text_add(&text, ", %s %f Hz", lowest_of(corner), corner->lowest_hz);
    if (corner->on && corner->lowest_hz > 0)
        text_add(&text, ", %f dB off it", corner->loss_db);
    return said;
}

static void
draw_grid(const struct draw *draw, double bottom)
{
    static const int lines[] = {20, 40, 80, 160, 315, 630};

    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        double x = axis_place(&across, lines[i]);

        html_add(draw->page,
                 "<path class=\"grid\" d=\"M%.2f %dV%.2f\"/>"
                 "<text class=\"small\" x=\"%.2f\" y=\"11\" text-anchor=\"middle\">%d</text>\n",
                 x, HEAD, bottom, x, lines[i]);
    }
    html_add(draw->page,
             "<text class=\"small\" x=\"%.2f\" y=\"11\">Hz</text>"
             "<text class=\"small\" x=\"%d\" y=\"11\" text-anchor=\"end\">at lowest</text>\n",
             across.end - 4, WIDTH - 2);
}

/* What the filter takes from the lowest note, and the line between the two. */
static void
draw_loss(const struct draw *draw, double y, const struct corner *corner)
{
    double lowest = axis_place(&across, corner->lowest_hz), x = axis_place(&across, corner->hz);

    if (corner->hz > corner->lowest_hz)
        html_add(draw->page, "<path class=\"taken\" d=\"M%.2f %.2fH%.2f\"/>", lowest, y, x);
    html_add(draw->page, "<text x=\"%d\" y=\"%.2f\" text-anchor=\"end\">%+f dB</text>\n", WIDTH - 2,
             y + 3.5, -corner->loss_db);
}

static void
draw_marks(const struct draw *draw, double y, const struct corner *corner)
{
    if (corner->source && corner->source->wants_high_pass) {
        double low = axis_place(&across, corner->source->corner_low_hz);

        html_add(draw->page,
                 "<rect class=\"usual\" x=\"%.2f\" y=\"%.2f\" width=\"%.2f\" height=\"6\"/>", low,
                 y - 3, axis_place(&across, corner->source->corner_high_hz) - low);
    }
    if (corner->known && corner->on && corner->lowest_hz > 0)
        draw_loss(draw, y, corner);
    if (corner->lowest_hz > 0)
        html_add(draw->page, "<path class=\"lowest\" d=\"M%.2f %.2fv8\"/>",
                 axis_place(&across, corner->lowest_hz), y - 4);
    if (corner->known && corner->on)
        html_add(draw->page, "<path class=\"corner\" d=\"M%.2f %.2fl-4 8h8z\"/>\n",
                 axis_place(&across, corner->hz), y - 4);
    else
        html_add(draw->page, "<text x=\"%d\" y=\"%.2f\" text-anchor=\"end\">%s</text>\n", WIDTH - 2,
                 y + 3.5, corner->known ? "off" : "?");
}

static void
draw_row(const struct draw *draw, int input, const struct corner *corner)
{
    double y = HEAD + ROW * (input + 0.5);
    char name[DRAW_NAME_SIZE], cut[HTML_SHORT_SIZE], said[SAID_SIZE];

    html_add(draw->page, "<g data-input=\"%d\"><title>%s</title><text x=\"0\" y=\"%.2f\">%s</text>",
             input + 1, alternative(draw, input, corner, said), y + 3.5,
             html_short(cut, draw_name(draw, PARAM_INPUT_NAME, input, name), NAME_COLUMNS));
    draw_marks(draw, y, corner);
    html_add(draw->page, "</g>\n");
}

void
draw_corners(const struct draw *draw)
{
    int count = desk_count(draw->desk, INDEX_INPUT);
    int height = HEAD + ROW * count + 2;
    char said[SAID_SIZE];
    struct corner corner;

    if (count == 0)
        return;
    html_add(draw->page,
             "<p class=\"soft\">Triangle: the corner. Bar: the usual corners. Upright "
             "line: the lowest note, and on the right what the filter takes off it."
             "</p>\n" DRAW_SVG " data-hz=\"%.2f %.2f\" data-x=\"%.2f %.2f\">\n",
             WIDTH, height,
             "High-pass corners beside the lowest notes; the list behind it says the same",
             across.from, across.to, across.begin, across.end);
    draw_grid(draw, HEAD + ROW * count);
    for (int input = 0; input < count; input++) {
        corner_of(draw->desk, draw->show, input, &corner);
        draw_row(draw, input, &corner);
    }
    /* the same rows as text, for those who listen */
    html_add(draw->page, "</svg>\n<ul class=\"unseen\">\n");
    for (int input = 0; input < count; input++) {
        corner_of(draw->desk, draw->show, input, &corner);
        html_add(draw->page, "<li>%s</li>\n", alternative(draw, input, &corner, said));
    }
    html_add(draw->page, "</ul>\n");
}
