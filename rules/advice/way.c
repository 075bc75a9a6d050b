/* SPDX-License-Identifier: MIT */
#include "advice/way.h"

/* Which way a control goes when its number rises. */
static enum way
way_up(enum param_id id)
{
    switch (id) {
    case PARAM_INPUT_PREAMP_GAIN:
    case PARAM_INPUT_TRIM:
    case PARAM_INPUT_FADER:
    case PARAM_INPUT_EQ_BAND_GAIN:
    case PARAM_INPUT_COMP_THRESHOLD:
    case PARAM_INPUT_COMP_MAKEUP:
    case PARAM_SEND_ON:
    case PARAM_SEND_LEVEL:
    case PARAM_MIX_FADER:
    case PARAM_MIX_TRIM:
    case PARAM_MIX_GRAPHIC_BAND_GAIN:
    case PARAM_MIX_EQ_BAND_GAIN:
    case PARAM_MIX_LIMITER_THRESHOLD:
    case PARAM_GROUP_FADER:
        return WAY_LOUDER;
    case PARAM_INPUT_PAD:
    case PARAM_INPUT_MUTE:
    case PARAM_INPUT_HIGH_PASS_ON:
    case PARAM_INPUT_HIGH_PASS_FREQ:
    case PARAM_INPUT_GATE_ON:
    case PARAM_INPUT_GATE_THRESHOLD:
    case PARAM_INPUT_COMP_RATIO:
    case PARAM_MIX_MUTE:
    case PARAM_MIX_HIGH_PASS_ON:
    case PARAM_MIX_HIGH_PASS_FREQ:
    case PARAM_MIX_LIMITER_ON:
    case PARAM_MIX_LIMITER_RATIO:
    case PARAM_GROUP_MUTE:
        return WAY_SOFTER;
    default:
        return WAY_EITHER;
    }
}

/* More gain at a peak is more at every frequency; a shelf may dip beside its corner, and what has no
 * gain is no matter of it. */
static bool
is_sideways_band(const struct desk *desk, const struct card_move *move)
{
    enum param_id shape = move->id == PARAM_INPUT_EQ_BAND_GAIN ? PARAM_INPUT_EQ_BAND_SHAPE
                          : move->id == PARAM_MIX_EQ_BAND_GAIN ? PARAM_MIX_EQ_BAND_SHAPE
                                                               : PARAMS;

    return shape != PARAMS &&
           !value_is(desk_value(desk, shape, move->row, move->column), SHAPE_PEAK);
}

enum way
way_of(const struct desk *desk, const struct card_move *move)
{
    enum way up;

    if (move->to == move->now)
        return WAY_SOFTER;
    up = is_sideways_band(desk, move) ? WAY_EITHER : way_up(move->id);

    if (up == WAY_EITHER || move->to > move->now)
        return up;
    return up == WAY_SOFTER ? WAY_LOUDER : WAY_SOFTER;
}

void
way_order(const struct desk *desk, struct card_move *moves, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        struct card_move move = moves[i];
        enum way way = way_of(desk, &move);
        size_t at = i;

        for (; at > 0 && way_of(desk, &moves[at - 1]) > way; at--)
            moves[at] = moves[at - 1];
        moves[at] = move;
    }
}

size_t
way_sideways(const struct desk *desk, const struct card_move *moves, size_t count)
{
    size_t sideways = 0;

    for (size_t i = 0; i < count; i++)
        sideways += way_of(desk, &moves[i]) == WAY_EITHER && moves[i].id != PARAM_SEND_TAP;
    return sideways;
}
