/* SPDX-License-Identifier: MIT */
#include "report/retrim.h"

#include <math.h>
#include <stdlib.h>

#include "core/need.h"

void
retrim_sheet_gather(struct retrim_sheet *sheet)
{
    const struct engine *engine = sheet->session->engine;

    sheet->retrim = retrim_new(engine_desk(engine), engine_show(engine));
}

void
retrim_sheet_release(struct retrim_sheet *sheet)
{
    retrim_free(sheet->retrim);
}

int
retrim_sheet_status(const struct retrim_sheet *sheet)
{
    if (sheet->retrim->move_count > 0)
        return EXIT_FINDINGS;
    return desk_count_state(engine_desk(sheet->session->engine), VALUE_UNKNOWN) > 0 ? EXIT_NOT_KNOWN
                                                                                    : EXIT_CLEAN;
}

struct object
retrim_sheet_object(const struct retrim_move *move)
{
    if (params[move->param].row == INDEX_MIX)
        return (struct object){-1, move->row};
    return (struct object){move->row, move->param == PARAM_SEND_LEVEL ? move->column : -1};
}

/* ---- before and after ---- */

static double
number_of(const struct desk *desk, enum param_id id, int row, int column)
{
    return desk_value(desk, id, row, column)->number;
}

/* The preamp's move stands under the first of the inputs that share it. */
static void
move_preamp(const struct desk *desk, const struct retrim_move *move, struct retrim_input *inputs)
{
    const struct value *preamp = desk_value(desk, PARAM_INPUT_PREAMP, move->row, 0);

    inputs[move->row].preamp_db[1] = move->to;
    for (int i = 0; preamp->state == VALUE_KNOWN && i < desk_count(desk, INDEX_INPUT); i++)
        if (number_of(desk, PARAM_INPUT_PREAMP, i, 0) == preamp->number)
            inputs[i].preamp_db[1] = move->to;
}

static void
fill_preamps(const struct desk *desk, const struct retrim *retrim, struct retrim_input *inputs)
{
    for (int i = 0; i < desk_count(desk, INDEX_INPUT); i++)
        inputs[i].preamp_db[0] = inputs[i].preamp_db[1] =
            number_of(desk, PARAM_INPUT_PREAMP_GAIN, i, 0);
    for (int i = 0; i < retrim->move_count; i++)
        if (retrim->moves[i].param == PARAM_INPUT_PREAMP_GAIN)
            move_preamp(desk, &retrim->moves[i], inputs);
}

/* The sends after the moves, input by input; one without a move stays. For free(). */
static double *
sends_after(const struct desk *desk, const struct retrim *retrim)
{
    int inputs = desk_count(desk, INDEX_INPUT), mixes = desk_count(desk, INDEX_MIX);
    double *after = need_memory((size_t)inputs * (size_t)mixes, sizeof *after);

    for (int i = 0; i < inputs; i++)
        for (int mix = 0; mix < mixes; mix++)
            after[i * mixes + mix] = number_of(desk, PARAM_SEND_LEVEL, i, mix);
    for (int i = 0; i < retrim->move_count; i++)
        if (retrim->moves[i].param == PARAM_SEND_LEVEL)
            after[retrim->moves[i].row * mixes + retrim->moves[i].column] = retrim->moves[i].to;
    return after;
}

static void
fill_sends(const struct desk *desk, const struct retrim *retrim, struct retrim_input *inputs)
{
    int mixes = desk_count(desk, INDEX_MIX);
    double *after = sends_after(desk, retrim);

    for (int i = 0; i < desk_count(desk, INDEX_INPUT); i++) {
        double *loudest = inputs[i].send_db;

        loudest[0] = loudest[1] = -HUGE_VAL;
        for (int mix = 0; mix < mixes; mix++) {
            loudest[0] = fmax(loudest[0], number_of(desk, PARAM_SEND_LEVEL, i, mix));
            loudest[1] = fmax(loudest[1], after[i * mixes + mix]);
        }
    }
    free(after);
}

struct retrim_input *
retrim_sheet_inputs(const struct retrim_sheet *sheet)
{
    const struct desk *desk = engine_desk(sheet->session->engine);
    struct retrim_input *inputs =
        need_memory((size_t)desk_count(desk, INDEX_INPUT), sizeof *inputs);

    fill_preamps(desk, sheet->retrim, inputs);
    fill_sends(desk, sheet->retrim, inputs);
    return inputs;
}
