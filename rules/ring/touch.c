/* SPDX-License-Identifier: MIT */
/* Which loop paths a move opened, closed, raised or lowered. */
#include <math.h>

#include "proof/counted.h"
#include "ring/parts.h"

static const double same_db = 0.01; /* a desk keeps no finer steps */

static bool
is_loop(const struct ringing *ringing, int input, int mix)
{
    return counted_mix(ringing->desk, ringing->show, mix) != SURE_NO &&
           counted_input(ringing->desk, ringing->show, input) != SURE_NO;
}

static bool
is_way(const struct spot *was, const struct spot *is, enum path_way *way, double *db)
{
    bool opened = was->open == SURE_NO, closed = is->open == SURE_NO;

    *db = is->level_db - was->level_db;
    if (opened || closed)
        *way = closed ? WAY_CLOSED : WAY_OPENED;
    else if (isnan(*db) || was->open != SURE_YES || is->open != SURE_YES)
        *way = WAY_UNCLEAR;
    else
        *way = *db > 0 ? WAY_UP : WAY_DOWN;
    if (opened && closed)
        return false;
    return !(fabs(*db) < same_db) || was->open != is->open || was->tap != is->tap;
}

static void
touch_path(struct ringing *ringing, int input, int mix)
{
    struct spot *spot = side_spot(&ringing->side, input, mix), was = *spot;
    struct touched touched = {.input = input, .mix = mix};

    side_take_spot(&ringing->side, input, mix);
    if (is_loop(ringing, input, mix) && is_way(&was, spot, &touched.way, &touched.db))
        ringing->touched[ringing->touched_count++] = touched;
}

void
touch_find(struct ringing *ringing, const struct ring_move *move)
{
    const struct param *param = &params[move->knob.id];
    int input = param->row == INDEX_INPUT ? move->knob.row : -1;
    int mix = param->row == INDEX_MIX      ? move->knob.row
              : param->column == INDEX_MIX ? move->knob.column
                                           : -1;

    ringing->touched_count = 0;
    for (int i = 0; i < ringing->inputs; i++)
        for (int m = 0; m < ringing->mixes; m++)
            if ((input < 0 || i == input) && (mix < 0 || m == mix))
                touch_path(ringing, i, m);
}

const struct touched *
touch_of(const struct ringing *ringing, int mix, int input)
{
    for (int i = 0; i < ringing->touched_count; i++)
        if (ringing->touched[i].mix == mix && ringing->touched[i].input == input)
            return &ringing->touched[i];
    return NULL;
}

int
ring_other_open(const struct ringing *ringing, int mix, int input)
{
    for (int i = 0; i < ringing->inputs; i++)
        if (i != input && is_loop(ringing, i, mix) &&
            side_spot(&ringing->side, i, mix)->open != SURE_NO)
            return i;
    return -1;
}

bool
ring_sounds(const struct ringing *ringing, int mix)
{
    return ring_other_open(ringing, mix, -1) >= 0;
}

struct course *
ring_course_of(const struct ringing *ringing, int mix)
{
    for (int i = 0; i < ringing->count; i++)
        if (ringing->courses[i].mix == mix)
            return &ringing->courses[i];
    return NULL;
}
