/* SPDX-License-Identifier: MIT */
#include "page/draw.h"

#include <math.h>

double
axis_place(const struct axis *axis, double value)
{
    double share = axis->logarithmic ? log(value / axis->from) / log(axis->to / axis->from)
                                     : (value - axis->from) / (axis->to - axis->from);

    return axis->begin + fmin(fmax(share, 0), 1) * (axis->end - axis->begin);
}

const char *
draw_name(const struct draw *draw, enum param_id label, int number, char name[DRAW_NAME_SIZE])
{
    const char *text = desk_text(draw->desk, label, number, 0);

    snprintf(name, DRAW_NAME_SIZE, "%d%s%s", number + 1, *text ? " " : "", text);
    return name;
}
