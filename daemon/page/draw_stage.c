/* SPDX-License-Identifier: MIT */
#include "page/draw_stage.h"

#include <math.h>
#include <string.h>

#include "core/text.h"
#include "page/html.h"
#include "stage/vector.h"

enum { WIDTH = 360, HIGHEST = 420, FOOT = 22, CUT_POINTS = 36, LABELS = 320 };

/* Around everything, metres; and how far a pattern and a beam reach on their axis. */
#define AROUND_M 1.2
#define PATTERN_M 0.45
#define BEAM_M 0.9

/* A letter of a label, wide and high, and how far from its place it stands: page.css has the font. */
#define LETTER 7.0
#define LINE 12.0
#define BESIDE 5.0

struct box {
    double x, y, width, height;
};

struct drawing {
    FILE *page;
    const struct stage_report *report;
    double left_m, back_m, scale; /* units a metre */
    int height;
    struct box taken[LABELS]; /* by labels, and by what they must not hide */
    int taken_count;
};

/* ---- places ---- */

static double
across(const struct drawing *drawing, double x_m)
{
    return (x_m - drawing->left_m) * drawing->scale;
}

static double
down(const struct drawing *drawing, double y_m)
{
    return (drawing->back_m - y_m) * drawing->scale;
}

struct extent {
    double left_m, right_m, front_m, back_m;
};

static void
take_in(struct extent *extent, struct place place)
{
    extent->left_m = fmin(extent->left_m, place.x_m - AROUND_M);
    extent->right_m = fmax(extent->right_m, place.x_m + AROUND_M);
    extent->front_m = fmin(extent->front_m, place.y_m - AROUND_M);
    extent->back_m = fmax(extent->back_m, place.y_m + AROUND_M);
}

static struct extent
extent_of(const struct stage *stage)
{
    struct extent extent = {HUGE_VAL, -HUGE_VAL, HUGE_VAL, -HUGE_VAL};

    for (int i = 0; i < stage->microphone_count; i++)
        if (stage->microphones[i].placed)
            take_in(&extent, stage->microphones[i].at);
    for (int i = 0; i < stage->loudspeaker_count; i++)
        if (stage->loudspeakers[i].placed)
            take_in(&extent, stage->loudspeakers[i].at);
    for (int i = 0; i < stage->ears_count; i++)
        take_in(&extent, stage->ears[i].at);
    return extent;
}

/* The whole width is used, unless the stage is deeper than wide. */
static void
lay_out(struct drawing *drawing, const struct extent *extent)
{
    double wide_m = extent->right_m - extent->left_m, deep_m = extent->back_m - extent->front_m;

    drawing->scale = fmin(WIDTH / wide_m, HIGHEST / deep_m);
    drawing->left_m = extent->left_m - (WIDTH / drawing->scale - wide_m) / 2;
    drawing->back_m = extent->back_m;
    drawing->height = (int)ceil(deep_m * drawing->scale) + FOOT;
}

bool
draw_stage_can(const struct stage *stage)
{
    bool microphone = false, loudspeaker = false;

    for (int i = 0; i < stage->microphone_count; i++)
        microphone |= stage->microphones[i].placed;
    for (int i = 0; i < stage->loudspeaker_count; i++)
        loudspeaker |= stage->loudspeakers[i].placed;
    return microphone && loudspeaker;
}

/* ---- words, none over another ---- */

static bool
overlaps(const struct box *one, const struct box *other)
{
    return one->x < other->x + other->width && other->x < one->x + one->width &&
           one->y < other->y + other->height && other->y < one->y + one->height;
}

static bool
is_free(const struct drawing *drawing, const struct box *box)
{
    for (int i = 0; i < drawing->taken_count; i++)
        if (overlaps(box, &drawing->taken[i]))
            return false;
    return drawing->taken_count < LABELS && box->x >= 0 && box->x + box->width <= WIDTH &&
           box->y >= 0 && box->y + box->height <= drawing->height - FOOT / 2;
}

/* No label hides what stands there. */
static void
keep_free(struct drawing *drawing, double x, double y, double half)
{
    if (drawing->taken_count < LABELS)
        drawing->taken[drawing->taken_count++] =
            (struct box){x - half, y - half, 2 * half, 2 * half};
}

/* Beside the place, that far from it, on the first side that is free; false where none is. */
static bool
put_label(struct drawing *drawing, const double at[2], double away, const char *kind,
          const char *words)
{
    static const double sides[][2] = {{1, 0},  {-1, 0}, {0, -1}, {0, 1},
                                      {1, -1}, {1, 1},  {-1, 1}, {-1, -1}};
    struct box box = {.width = LETTER * (double)strlen(words), .height = LINE};

    for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
        box.x = at[0] - box.width / 2 + sides[i][0] * (away + box.width / 2);
        box.y = at[1] - LINE / 2 + sides[i][1] * (away + LINE / 2);
        if (!is_free(drawing, &box))
            continue;
        drawing->taken[drawing->taken_count++] = box;
        html_add(drawing->page, "<text class=\"%s\" x=\"%.2f\" y=\"%.2f\">%s</text>", kind,
                 box.x + 1, box.y + LINE - 2, words);
        return true;
    }
    return false;
}

/* Nothing where there is no room: the table names all. */
static void
add_label(struct drawing *drawing, double x, double y, const char *kind, const char *words)
{
    put_label(drawing, (const double[]){x, y}, BESIDE, kind, words);
}

/* ---- patterns and beams ---- */

/* What is left of the axis, as amplitude, in a horizontal direction. */
typedef double cut_fn(const struct stage_report *report, int which, struct place way);

static double
pattern_cut(const struct stage_report *report, int which, struct place way)
{
    const struct stage_microphone *microphone = &report->stage->microphones[which];
    double a = pattern_rows[microphone->pattern].a;

    return pow(
        10, pattern_db(a, vector_degrees(microphone->axis, way), microphone->floor_db.number) / 20);
}

/* Where most of a voice's rings are, when nothing rings; common practice, no source. */
enum { BEAM_HZ = 2000 };

double
draw_stage_hz(const struct stage_report *report)
{
    return report->random.db < HUGE_VAL ? stage_report_hz(report->random.band) : BEAM_HZ;
}

static double
beam_cut(const struct stage_report *report, int which, struct place way)
{
    double degrees = vector_degrees(stage_loudspeaker_axis(report->stage, which), way);
    const struct beam *beam = &report->stage->loudspeakers[which].beam;

    return pow(10, beam_db(beam, degrees, draw_stage_hz(report)) / 20);
}

static void
add_cut(const struct drawing *drawing, const char *kind, struct place at, double reach_m,
        cut_fn *cut, int which)
{
    html_add(drawing->page, "<path class=\"%s\" d=\"", kind);
    for (int i = 0; i < CUT_POINTS; i++) {
        double turn = 2 * ANGLE_PI * i / CUT_POINTS;
        struct place way = {cos(turn), sin(turn), 0};
        double far_m = reach_m * cut(drawing->report, which, way);

        html_add(drawing->page, "%s%.2f %.2f", i == 0 ? "M" : "L",
                 across(drawing, at.x_m + far_m * way.x_m),
                 down(drawing, at.y_m + far_m * way.y_m));
    }
    html_add(drawing->page, "Z\"/>");
}

/* ---- what stands there ---- */

static void
add_loudspeaker(struct drawing *drawing, int which)
{
    const struct stage_loudspeaker *one = &drawing->report->stage->loudspeakers[which];
    double x = across(drawing, one->at.x_m), y = down(drawing, one->at.y_m);

    if (!one->placed)
        return;
    keep_free(drawing, x, y, 4);
    add_cut(drawing, "beam", one->at, BEAM_M, beam_cut, which);
    html_add(drawing->page, "<rect class=\"box\" x=\"%.2f\" y=\"%.2f\" width=\"8\" height=\"8\"/>",
             x - 4, y - 4);
}

static void
add_microphone(struct drawing *drawing, int which)
{
    const struct stage_microphone *one = &drawing->report->stage->microphones[which];

    if (!one->placed)
        return;
    keep_free(drawing, across(drawing, one->at.x_m), down(drawing, one->at.y_m), 2);
    add_cut(drawing, "pattern", one->at, PATTERN_M, pattern_cut, which);
    html_add(drawing->page, "<circle class=\"capsule\" cx=\"%.2f\" cy=\"%.2f\" r=\"1.8\"/>",
             across(drawing, one->at.x_m), down(drawing, one->at.y_m));
}

static void
add_ears(const struct drawing *drawing, const struct stage_ears *ears)
{
    html_add(drawing->page, "<circle class=\"ears\" cx=\"%.2f\" cy=\"%.2f\" r=\"5\"/>",
             across(drawing, ears->at.x_m), down(drawing, ears->at.y_m));
}

static void
name_microphone(struct drawing *drawing, int which)
{
    const struct stage_microphone *one = &drawing->report->stage->microphones[which];
    char words[16];

    snprintf(words, sizeof words, "%d", one->inputs.of[0] + 1);
    if (one->placed)
        add_label(drawing, across(drawing, one->at.x_m), down(drawing, one->at.y_m), "input",
                  words);
}

static void
name_loudspeaker(struct drawing *drawing, int which)
{
    const struct stage_loudspeaker *one = &drawing->report->stage->loudspeakers[which];
    char words[16] = "house";

    if (one->mixes.count > 0)
        snprintf(words, sizeof words, "mix %d", one->mixes.of[0] + 1);
    if (one->placed)
        add_label(drawing, across(drawing, one->at.x_m), down(drawing, one->at.y_m), "mix", words);
}

/* ---- the paths that lead ---- */

/* Where its line begins and ends; false where one of them stands nowhere. */
static bool
ends_of(const struct stage_report *report, const struct loop_path *path, struct place ends[2])
{
    int loudspeaker = loops_loudspeaker(report->loops, path->microphone, path->mix, path->band);
    const struct stage *stage = report->stage;

    if (loudspeaker < 0 || !stage->loudspeakers[loudspeaker].placed ||
        !stage->microphones[path->microphone].placed)
        return false;
    ends[0] = stage->loudspeakers[loudspeaker].at;
    ends[1] = stage->microphones[path->microphone].at;
    return true;
}

static void
add_line(const struct drawing *drawing, const struct loop_path *path, bool leads)
{
    struct place ends[2];

    if (ends_of(drawing->report, path, ends))
        html_add(drawing->page, "<path class=\"loop%s\" d=\"M%.2f %.2fL%.2f %.2f\"/>",
                 leads ? " leads" : "", across(drawing, ends[0].x_m), down(drawing, ends[0].y_m),
                 across(drawing, ends[1].x_m), down(drawing, ends[1].y_m));
}

/* With its place in the table. */
static void
name_line(struct drawing *drawing, int rank)
{
    const struct loop_path *path = &drawing->report->paths[rank];
    struct place ends[2], middle;
    char words[40];
    double at[2];
    struct text text;

    if (!ends_of(drawing->report, path, ends))
        return;
    middle = vector_mix(ends[0], 0.5, ends[1], 0.5);
    at[0] = across(drawing, middle.x_m);
    at[1] = down(drawing, middle.y_m);
    text_init(&text, words, sizeof words);
    text_add(&text, "%d: %f dB", rank + 1, stage_report_db(drawing->report, path));
    for (int step = 0; step < 4 && !put_label(drawing, at, step * BESIDE, "db", words);)
        step++;
}

/* ---- the picture ---- */

/* A metre to measure with, and where the audience is. */
static void
add_foot(const struct drawing *drawing)
{
    html_add(drawing->page,
             "<path class=\"metre\" d=\"M6 %dV%dM6 %dH%.2fM%.2f %dV%d\"/>"
             "<text class=\"small\" x=\"%.2f\" y=\"%d\">1 m</text>"
             "<text class=\"small\" x=\"%d\" y=\"%d\" text-anchor=\"middle\">audience</text>",
             drawing->height - 10, drawing->height - 4, drawing->height - 7, 6 + drawing->scale,
             6 + drawing->scale, drawing->height - 10, drawing->height - 4, 10 + drawing->scale,
             drawing->height - 4, WIDTH / 2, drawing->height - 4);
}

static void
add_things(struct drawing *drawing)
{
    const struct stage_report *report = drawing->report;
    int drawn = report->path_count < DRAW_STAGE_PATHS ? report->path_count : DRAW_STAGE_PATHS;

    for (int i = 0; i < report->stage->loudspeaker_count; i++)
        add_loudspeaker(drawing, i);
    for (int i = 0; i < report->stage->ears_count; i++)
        add_ears(drawing, &report->stage->ears[i]);
    for (int i = drawn; i-- > 0;)
        add_line(drawing, &report->paths[i], i == 0);
    for (int i = 0; i < report->stage->microphone_count; i++)
        add_microphone(drawing, i);
}

/* What matters most is named first, while there is room. */
static void
add_names(struct drawing *drawing)
{
    const struct stage_report *report = drawing->report;

    for (int i = 0; i < report->path_count && i < DRAW_STAGE_PATHS; i++)
        name_line(drawing, i);
    for (int i = 0; i < report->stage->loudspeaker_count; i++)
        name_loudspeaker(drawing, i);
    for (int i = 0; i < report->stage->microphone_count; i++)
        name_microphone(drawing, i);
}

void
draw_stage(FILE *page, const struct stage_report *report)
{
    struct drawing drawing = {.page = page, .report = report};
    struct extent extent = extent_of(report->stage);

    lay_out(&drawing, &extent);
    html_add(page,
             "<svg class=\"stage\" viewBox=\"0 0 %d %d\" role=\"img\" aria-label=\"The stage from "
             "above, the audience below. The tables say what it shows.\" data-metre=\"%.2f\" "
             "data-origin=\"%.2f %.2f\">\n",
             WIDTH, drawing.height, drawing.scale, across(&drawing, 0), down(&drawing, 0));
    add_things(&drawing);
    add_foot(&drawing);
    add_names(&drawing);
    html_add(page, "</svg>\n");
}
