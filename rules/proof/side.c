/* SPDX-License-Identifier: MIT */
#include "proof/side.h"

#include <math.h>
#include <stdlib.h>

#include "core/need.h"

static enum sure
is_on(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(desk, id, row, column);

    return value->state == VALUE_KNOWN ? sure(value_number(value) != 0) : UNSURE;
}

static enum sure
is_up(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(desk, id, row, column);

    return value->state == VALUE_KNOWN ? sure(value_number(value) > -HUGE_VAL) : UNSURE;
}

/* The input belongs to no group that is muted or off. */
static enum sure
groups_open(const struct desk *desk, int input)
{
    enum sure open = SURE_YES;

    for (int group = 0; group < desk_count(desk, INDEX_GROUP); group++) {
        enum sure up = sure_and(is_up(desk, PARAM_GROUP_FADER, group, 0),
                                sure_not(is_on(desk, PARAM_GROUP_MUTE, group, 0)));

        open = sure_and(open, sure_or(up, sure_not(is_on(desk, PARAM_INPUT_GROUP, input, group))));
    }
    return open;
}

/* Whether fader and groups let a send of that tap through. */
static enum sure
tap_open(const struct desk *desk, int input, double tap)
{
    enum sure up;

    if (!isnan(tap) && tap != TAP_POST_FADER)
        return SURE_YES;
    up = sure_and(is_up(desk, PARAM_INPUT_FADER, input, 0), groups_open(desk, input));
    return isnan(tap) && up != SURE_YES ? UNSURE : up;
}

static enum sure
is_open(const struct desk *desk, int input, int mix, double tap)
{
    enum sure open = sure_and(sure_not(is_on(desk, PARAM_INPUT_MUTE, input, 0)),
                              sure_not(is_on(desk, PARAM_MIX_MUTE, mix, 0)));

    open = sure_and(open, sure_and(is_on(desk, PARAM_SEND_ON, input, mix),
                                   is_up(desk, PARAM_SEND_LEVEL, input, mix)));
    open = sure_and(open, is_up(desk, PARAM_MIX_FADER, mix, 0));
    return sure_and(open, tap_open(desk, input, tap));
}

enum sure
side_open(const struct desk *desk, int input, int mix)
{
    return is_open(desk, input, mix, value_number(desk_value(desk, PARAM_SEND_TAP, input, mix)));
}

bool
side_take_spot(struct side *side, int input, int mix)
{
    struct spot *spot = side_spot(side, input, mix), was = *spot;
    struct path_level level;

    spot->tap = value_number(desk_value(side->desk, PARAM_SEND_TAP, input, mix));
    spot->open = is_open(side->desk, input, mix, spot->tap);
    spot->level_db = NAN;
    if (spot->open == SURE_YES && path_level_on(side->desk, input, mix, &level))
        spot->level_db = level.sum_db;
    return spot->open != was.open || !(spot->tap == was.tap) ||
           isnan(spot->level_db) != isnan(was.level_db);
}

void
side_take(struct side *side, const struct desk *desk)
{
    *side = (struct side){.desk = desk,
                          .inputs = desk_count(desk, INDEX_INPUT),
                          .mixes = desk_count(desk, INDEX_MIX)};
    side->spots = need_memory((size_t)side->inputs * (size_t)side->mixes, sizeof *side->spots);
    side->input_tones = need_memory((size_t)side->inputs, sizeof *side->input_tones);
    side->mix_tones = need_memory((size_t)side->mixes, sizeof *side->mix_tones);
    for (int input = 0; input < side->inputs; input++)
        tone_of_input(&side->input_tones[input], desk, input);
    for (int mix = 0; mix < side->mixes; mix++)
        tone_of_mix(&side->mix_tones[mix], desk, mix);
    for (int input = 0; input < side->inputs; input++)
        for (int mix = 0; mix < side->mixes; mix++)
            side_take_spot(side, input, mix);
}

void
side_release(struct side *side)
{
    for (int input = 0; input < side->inputs; input++)
        tone_release(&side->input_tones[input]);
    for (int mix = 0; mix < side->mixes; mix++)
        tone_release(&side->mix_tones[mix]);
    free(side->input_tones);
    free(side->mix_tones);
    free(side->spots);
}
