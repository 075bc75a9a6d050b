/* SPDX-License-Identifier: MIT */
#include "proof_desk.h"

#include <math.h>
#include <stdlib.h>

#include "check/check.h"
#include "path_gain.h"
#include "rig.h"
#include "sound/path.h"

static const struct {
    enum param_id id;
    double number;
} plain[] = {
    {PARAM_INPUT_PREAMP_GAIN, 30},
    {PARAM_INPUT_PAD, 0},
    {PARAM_INPUT_TRIM, 0},
    {PARAM_INPUT_POLARITY, 0},
    {PARAM_INPUT_DELAY, 0},
    {PARAM_INPUT_MUTE, 0},
    {PARAM_INPUT_FADER, 0},
    {PARAM_INPUT_HIGH_PASS_ON, 0},
    {PARAM_INPUT_HIGH_PASS_FREQ, 100},
    {PARAM_INPUT_HIGH_PASS_SLOPE, 12},
    {PARAM_INPUT_EQ_ON, 1},
    {PARAM_INPUT_EQ_BAND_ON, 1},
    {PARAM_INPUT_EQ_BAND_SHAPE, SHAPE_PEAK},
    {PARAM_INPUT_EQ_BAND_FREQ, 1000},
    {PARAM_INPUT_EQ_BAND_GAIN, 0},
    {PARAM_INPUT_EQ_BAND_Q, 2},
    {PARAM_INPUT_GATE_ON, 0},
    {PARAM_INPUT_COMP_ON, 0},
    {PARAM_INPUT_COMP_MAKEUP, 0},
    {PARAM_INPUT_GROUP, 0},
    {PARAM_SEND_ON, 1},
    {PARAM_SEND_LEVEL, 0},
    {PARAM_SEND_TAP, TAP_PRE_FADER},
    {PARAM_MIX_FADER, 0},
    {PARAM_MIX_MUTE, 0},
    {PARAM_MIX_TRIM, 0},
    {PARAM_MIX_DELAY, 0},
    {PARAM_MIX_GRAPHIC_ON, 1},
    {PARAM_MIX_GRAPHIC_BAND_GAIN, 0},
    {PARAM_MIX_EQ_ON, 1},
    {PARAM_MIX_EQ_BAND_ON, 1},
    {PARAM_MIX_EQ_BAND_SHAPE, SHAPE_PEAK},
    {PARAM_MIX_EQ_BAND_FREQ, 2500},
    {PARAM_MIX_EQ_BAND_GAIN, 0},
    {PARAM_MIX_EQ_BAND_Q, 4},
    {PARAM_MIX_HIGH_PASS_ON, 0},
    {PARAM_MIX_HIGH_PASS_FREQ, 80},
    {PARAM_MIX_HIGH_PASS_SLOPE, 12},
    {PARAM_GROUP_FADER, 0},
    {PARAM_GROUP_MUTE, 0},
};

void
proof_put(struct desk *desk, enum param_id id, int row, int column, double number)
{
    assert_int_not_equal(desk_set(desk, id, row, column, number, 1), CHANGE_REFUSED);
}

void
proof_add(struct desk *desk, enum param_id id, int row, int column, double number)
{
    double was = value_number(desk_value(desk, id, row, column));

    if (isfinite(was) && param_accepts(id, was + number))
        proof_put(desk, id, row, column, was + number);
}

struct desk *
proof_desk_plain(void)
{
    static const struct desk_counts counts = {.of = {[INDEX_INPUT] = PROOF_INPUTS,
                                                     [INDEX_MIX] = PROOF_MIXES,
                                                     [INDEX_GROUP] = PROOF_GROUPS,
                                                     [INDEX_INPUT_EQ_BAND] = PROOF_BANDS,
                                                     [INDEX_MIX_EQ_BAND] = PROOF_BANDS,
                                                     [INDEX_MIX_GRAPHIC_BAND] = PROOF_GRAPHIC}};
    struct desk *desk = desk_new(&counts);

    for (size_t i = 0; i < COUNT(plain); i++) {
        desk_supply(desk, plain[i].id, SUPPLY_HEARD);
        for (int row = 0; row < desk_rows(desk, plain[i].id); row++)
            for (int column = 0; column < desk_columns(desk, plain[i].id); column++)
                proof_put(desk, plain[i].id, row, column, plain[i].number);
    }
    return desk;
}

struct show *
proof_desk_show(void)
{
    struct show *show = check_set_show(check_set_all, PROOF_INPUTS, PROOF_MIXES);

    for (int input = 0; input < PROOF_INPUTS; input++)
        show->inputs[input].source = rig_source("lead-vocal");
    for (int mix = 0; mix < PROOF_MIXES; mix++)
        show->mixes[mix].feeds = FEEDS_WEDGE;
    return show;
}

/* ---- moves ---- */

static double
random_number(struct dice *dice, enum param_id id, double was)
{
    switch (params[id].unit) {
    case UNIT_SWITCH:
        return was == 0;
    case UNIT_HZ:
        return exp(dice_between(dice, log(40), log(12000)));
    case UNIT_SLOPE:
        return 6 * (1 + dice_below(dice, 4));
    case UNIT_FACTOR:
        return exp(dice_between(dice, log(0.5), log(20)));
    default:
        return (isfinite(was) ? was : 0) + dice_between(dice, -6, 6);
    }
}

struct proof_move
proof_shake(struct dice *dice, struct desk *desk)
{
    static const enum param_id ids[] = {PARAM_INPUT_PREAMP_GAIN,
                                        PARAM_INPUT_TRIM,
                                        PARAM_INPUT_MUTE,
                                        PARAM_INPUT_HIGH_PASS_ON,
                                        PARAM_INPUT_EQ_BAND_GAIN,
                                        PARAM_INPUT_EQ_BAND_FREQ,
                                        PARAM_INPUT_EQ_BAND_Q,
                                        PARAM_SEND_LEVEL,
                                        PARAM_SEND_LEVEL,
                                        PARAM_SEND_LEVEL,
                                        PARAM_SEND_ON,
                                        PARAM_MIX_FADER,
                                        PARAM_MIX_GRAPHIC_BAND_GAIN,
                                        PARAM_MIX_EQ_BAND_GAIN,
                                        PARAM_MIX_EQ_BAND_FREQ,
                                        PARAM_MIX_EQ_BAND_Q,
                                        PARAM_MIX_HIGH_PASS_ON,
                                        PARAM_INPUT_HIGH_PASS_SLOPE};
    enum param_id id = ids[dice_below(dice, (int)COUNT(ids))];
    struct proof_move move = {id, dice_below(dice, desk_rows(desk, id)),
                              dice_below(dice, desk_columns(desk, id))};
    double was = value_number(desk_value(desk, id, move.row, move.column));
    double number = random_number(dice, id, was);

    if (param_accepts(id, number))
        proof_put(desk, id, move.row, move.column, number);
    return move;
}

struct proof_ceiling
proof_ceiling_of(const struct desk *desk, int mix)
{
    return (struct proof_ceiling){.desk = desk_copy(desk), .mix = mix, .step_db = 1};
}

/* ---- the peer ---- */

static double
number_of(const struct desk *desk, enum param_id id, int row)
{
    return value_number(desk_value(desk, id, row, 0));
}

double
proof_peer_db(const struct desk *desk, int input, int mix, double hz)
{
    static const enum param_id reads[] = {PATH_LEVEL_READS, PATH_INPUT_FILTER_READS,
                                          PATH_MIX_FILTER_READS, PARAMS};
    struct verdict aside;
    struct look look = look_reader(desk, NULL, reads, &aside);
    double db;

    if (number_of(desk, PARAM_INPUT_MUTE, input) != 0 || number_of(desk, PARAM_MIX_MUTE, mix) != 0)
        return -HUGE_VAL;
    assert_true(path_gain_db(&look, input, mix, hz, &db));
    return db;
}
