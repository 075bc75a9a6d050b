/* SPDX-License-Identifier: MIT */
#include "sound/surplus.h"

#include <math.h>

/* Takes the input's open sends into account. False when a part is not known. */
static bool
add_input(struct look *look, int input, struct surplus *surplus)
{
    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++) {
        double after_db, send_db, master_db;

        if (!look_after_preamp_db(look, input, mix, &after_db, &send_db))
            return false;
        if (after_db == -HUGE_VAL)
            continue;
        if (!look_number(look, PARAM_MIX_FADER, mix, 0, &master_db))
            return false;
        surplus->at_unity_db = fmax(surplus->at_unity_db, after_db - master_db);
        if (surplus->open && after_db <= surplus->loudest_db)
            continue;
        surplus->open = true;
        surplus->loudest_db = after_db;
        surplus->send_db = send_db;
        surplus->input = input;
        surplus->mix = mix;
    }
    return true;
}

/* Gain that the preamp could give back at most. Where its end stop is not told, what it adds: a
 * preamp at 0 dB adds nothing. */
static double
to_give_db(const struct surplus *surplus)
{
    return surplus->preamp_db - (isnan(surplus->lowest_db) ? 0 : surplus->lowest_db);
}

bool
surplus_of(struct look *look, int input, struct surplus *surplus)
{
    int preamp;

    *surplus = (struct surplus){.told_on = -1, .loudest_db = -HUGE_VAL, .at_unity_db = -HUGE_VAL};
    if (!look_preamp(look, input, &preamp))
        return false;
    for (int i = 0; i < desk_count(look->desk, INDEX_INPUT); i++) {
        int other;
        bool muted;

        if (!look_preamp(look, i, &other))
            return false;
        if (other != preamp)
            continue;
        if (!look_switch(look, PARAM_INPUT_MUTE, i, 0, &muted))
            return false;
        if (surplus->told_on < 0)
            surplus->told_on = i;
        if (!muted && !add_input(look, i, surplus))
            return false;
    }
    if (!surplus->open)
        return true;
    if (!look_number(look, PARAM_INPUT_PREAMP_GAIN, input, 0, &surplus->preamp_db))
        return false;
    surplus->lowest_db = desk_travel(look->desk, PARAM_INPUT_PREAMP_GAIN).least;
    surplus->surplus_db = fmax(0, fmin(-surplus->loudest_db, to_give_db(surplus)));
    return true;
}

bool
surplus_is_masters_fault(const struct surplus *surplus, double note_db)
{
    return -surplus->at_unity_db < note_db;
}
