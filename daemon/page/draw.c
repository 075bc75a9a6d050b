/* SPDX-License-Identifier: MIT */
#include "page/draw.h"

#include <math.h>

#include "page/html.h"

double
axis_place(const struct axis *axis, double value)
{
    double share = axis->logarithmic ? log(value / axis->from) / log(axis->to / axis->from)
                                     : (value - axis->from) / (axis->to - axis->from);

    return axis->begin + fmin(fmax(share, 0), 1) * (axis->end - axis->begin);
}

void
draw_begin(const struct draw *draw, int width, int height, const char *label)
{
    html_add(draw->page, "<svg viewBox=\"0 0 %d %d\" role=\"img\" aria-label=\"%s\"", width, height,
             label);
}

static const char *
name_of(const struct desk *desk, enum param_id id, int row, char name[DRAW_NAME_SIZE])
{
    const char *label = desk_text(desk, id, row, 0);

    snprintf(name, DRAW_NAME_SIZE, "%d%s%s", row + 1, *label ? " " : "", label);
    return name;
}

const char *
draw_input(const struct draw *draw, int input, char name[DRAW_NAME_SIZE])
{
    return name_of(draw->desk, PARAM_INPUT_NAME, input, name);
}

const char *
draw_mix(const struct draw *draw, int mix, char name[DRAW_NAME_SIZE])
{
    return name_of(draw->desk, PARAM_MIX_NAME, mix, name);
}
