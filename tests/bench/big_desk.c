/* SPDX-License-Identifier: MIT */
#include "big_desk.h"

#include <math.h>

#include "check/check.h"

static void
fill(struct engine *engine)
{
    const struct desk *desk = engine_desk(engine);

    for (int id = 0; id < PARAMS; id++)
        for (int row = 0; row < desk_rows(desk, (enum param_id)id); row++)
            for (int column = 0; column < desk_columns(desk, (enum param_id)id); column++) {
                double number = fmax(params[id].least, fmin(params[id].most, 0));

                if (params[id].unit == UNIT_TEXT) {
                    engine_hear_text(engine, (enum param_id)id, row, column,
                                     id == PARAM_MIX_NAME ? "Ld Vox wedge" : "BV 2", 1);
                    continue;
                }
                if (id == PARAM_INPUT_PREAMP)
                    number = row;
                if (id == PARAM_SEND_LEVEL)
                    number = -(row + column) % 20;
                if (id == PARAM_SEND_ON || id == PARAM_MIX_GRAPHIC_ON || id == PARAM_INPUT_EQ_ON ||
                    id == PARAM_INPUT_EQ_BAND_ON || id == PARAM_INPUT_HIGH_PASS_ON)
                    number = 1;
                if (params[id].unit == UNIT_HZ)
                    number = 100;
                if (params[id].unit == UNIT_FACTOR)
                    number = 2;
                if (params[id].unit == UNIT_SLOPE)
                    number = 18;
                if (id == PARAM_MIX_GRAPHIC_BAND_GAIN)
                    number = column % 5 == 0 ? -6 : 0;
                if (id == PARAM_INPUT_EQ_BAND_GAIN)
                    number = -3;
                engine_hear(engine, (enum param_id)id, row, column, number, 1);
            }
}

struct engine *
big_desk_engine(enum role role)
{
    struct desk_counts counts = {.of = {[INDEX_INPUT] = BIG_INPUTS,
                                        [INDEX_MIX] = BIG_MIXES,
                                        [INDEX_GROUP] = 8,
                                        [INDEX_INPUT_EQ_BAND] = 4,
                                        [INDEX_MIX_GRAPHIC_BAND] = 31,
                                        [INDEX_MIX_EQ_BAND] = 4}};
    struct desk *desk = desk_new(&counts);
    struct show *show = check_set_show(check_set_all, BIG_INPUTS, BIG_MIXES);
    struct engine *engine;

    for (int id = 0; id < PARAMS; id++)
        if (id != PARAM_MIX_GRAPHIC_BAND_FREQ)
            desk_supply(desk, (enum param_id)id, SUPPLY_HEARD);
    desk_set_travel(desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){0, 60});
    desk_set_travel(desk, PARAM_SEND_LEVEL, (struct travel){-90, 10});
    show->role = role;
    engine = engine_new(desk, show, check_set_all);
    fill(engine);
    return engine;
}
