/* SPDX-License-Identifier: MIT */
#include "score/there.h"

#include <math.h>
#include <stdlib.h>

#include "check/too_many_cuts.h"
#include "core/need.h"
#include "look/look.h"

static const enum param_id reads[] = {LOOK_SEND_READS, PARAM_INPUT_MUTE, PARAM_MIX_MUTE,
                                      PARAM_MIX_NAME, PARAMS};

/* ---- what is open ---- */

static bool
is_muted(struct look *look, enum param_id id, int row)
{
    bool muted;

    return look_switch(look, id, row, 0, &muted) && muted;
}

static bool
is_sent(struct look *look, int input, int mix)
{
    bool open;

    return !look_send_open(look, input, mix, &open) || open;
}

/* A mix opens for an input only where something is sent from there to here. */
static void
open_input(struct there *there, struct look *look, const bool *muted_mixes, int input)
{
    if (is_muted(look, PARAM_INPUT_MUTE, input))
        return;
    for (int mix = 0; mix < desk_count(there->desk, INDEX_MIX); mix++) {
        if (muted_mixes[mix] || !is_sent(look, input, mix))
            continue;
        there->inputs[input] = true;
        there->mixes[mix] = true;
    }
}

struct there
there_read(const struct desk *desk, const struct show *show)
{
    int inputs = desk_count(desk, INDEX_INPUT), mixes = desk_count(desk, INDEX_MIX);
    struct there there = {.desk = desk,
                          .show = show,
                          .inputs = need_memory((size_t)inputs + 1, sizeof *there.inputs),
                          .mixes = need_memory((size_t)mixes + 1, sizeof *there.mixes)};
    bool *muted = need_memory((size_t)mixes + 1, sizeof *muted);
    struct verdict verdict = {.mix = -1};
    struct look look = look_reader(desk, show, reads, &verdict);

    for (int mix = 0; mix < mixes; mix++)
        muted[mix] = is_muted(&look, PARAM_MIX_MUTE, mix);
    for (int input = 0; input < inputs; input++)
        open_input(&there, &look, muted, input);
    free(muted);
    return there;
}

void
there_release(struct there *there)
{
    free(there->inputs);
    free(there->mixes);
}

bool
there_in_ears(const struct there *there, int mix)
{
    struct verdict verdict = {.mix = -1};
    struct look look = look_reader(there->desk, there->show, reads, &verdict);

    return look_feeds(&look, mix) == FEEDS_IN_EAR;
}

/* ---- equalisers ---- */

struct equaliser {
    enum index_kind bands;
    enum param_id on, gain;
    enum param_id band_on, shape; /* PARAMS: all its bands are on, and peaks */
};

static const struct equaliser of_input = {INDEX_INPUT_EQ_BAND, PARAM_INPUT_EQ_ON,
                                          PARAM_INPUT_EQ_BAND_GAIN, PARAM_INPUT_EQ_BAND_ON,
                                          PARAM_INPUT_EQ_BAND_SHAPE};
static const struct equaliser graphic = {INDEX_MIX_GRAPHIC_BAND, PARAM_MIX_GRAPHIC_ON,
                                         PARAM_MIX_GRAPHIC_BAND_GAIN, PARAMS, PARAMS};
static const struct equaliser parametric = {INDEX_MIX_EQ_BAND, PARAM_MIX_EQ_ON,
                                            PARAM_MIX_EQ_BAND_GAIN, PARAM_MIX_EQ_BAND_ON,
                                            PARAM_MIX_EQ_BAND_SHAPE};

/* What is not known is not off: the check says so. */
static bool
is_off(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(desk, id, row, column);

    return value_is(value, 0);
}

/* A peak or a shelf does something from where a cut counts as one; a pass filter or a notch does. */
static bool
has_gain(const struct there *there, const struct equaliser *equaliser, int row, int band)
{
    const struct desk *desk = there->desk;
    const struct value *gain = desk_value(desk, equaliser->gain, row, band);
    const struct value *shape =
        equaliser->shape == PARAMS ? NULL : desk_value(desk, equaliser->shape, row, band);

    if (shape && shape->state == VALUE_KNOWN && value_number(shape) != SHAPE_PEAK &&
        value_number(shape) != SHAPE_LOW_SHELF && value_number(shape) != SHAPE_HIGH_SHELF)
        return true;
    return gain->state != VALUE_KNOWN ||
           fabs(value_number(gain)) >= too_many_cuts_from_db(there->show);
}

static bool
is_touched(const struct there *there, const struct equaliser *equaliser, int row)
{
    const struct desk *desk = there->desk;

    if (is_off(desk, equaliser->on, row, 0))
        return false;
    for (int band = 0; band < desk_count(desk, equaliser->bands); band++)
        if ((equaliser->band_on == PARAMS || !is_off(desk, equaliser->band_on, row, band)) &&
            has_gain(there, equaliser, row, band))
            return true;
    return false;
}

bool
there_input_equaliser(const struct there *there, int input)
{
    return is_touched(there, &of_input, input);
}

bool
there_mix_equaliser(const struct there *there, int mix)
{
    return is_touched(there, &graphic, mix) ||
           (!there->show->mixes[mix].tuned_here && is_touched(there, &parametric, mix));
}
