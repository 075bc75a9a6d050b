/* SPDX-License-Identifier: MIT */
#include "sound/surplus.h"

#include <math.h>

static void
add_path(struct surplus *surplus, int input, int mix, const struct behind *path)
{
    surplus->at_unity_db = fmax(surplus->at_unity_db, path->sum_db - path->master_db);
    if (surplus->open && path->sum_db <= surplus->loudest_db)
        return;
    surplus->open = true;
    surplus->loudest_db = path->sum_db;
    surplus->send_db = path->send_db;
    surplus->input = input;
    surplus->mix = mix;
}

/* Takes the input's open sends into account. False when a part is not known. */
static bool
add_input(struct look *look, int input, struct surplus *surplus)
{
    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++) {
        struct behind path;

        if (!look_behind_preamp(look, input, mix, &path))
            return false;
        if (path.sum_db > -HUGE_VAL)
            add_path(surplus, input, mix, &path);
        else if (path.open && look->show->mixes[mix].feeds != FEEDS_UNUSED)
            surplus->unsettled = true;
    }
    return true;
}

/* On a house desk the way through the fader into the house uses the preamp, too. */
static bool
add_house(struct look *look, int input, struct surplus *surplus)
{
    double house_db;

    if (look->show->role != ROLE_HOUSE)
        return true;
    if (!look_house_db(look, input, &house_db))
        return false;
    surplus->house_db = fmax(surplus->house_db, house_db);
    return true;
}

/* Gain that the preamp could give back at most. Where its end stop is not told, what it adds: a
 * preamp at 0 dB adds nothing. */
static double
to_give_db(const struct surplus *surplus)
{
    return surplus->preamp_db - (isnan(surplus->lowest_db) ? 0 : surplus->lowest_db);
}

/* Takes all inputs of the preamp into account. */
static bool
add_inputs(struct look *look, int preamp, struct surplus *surplus)
{
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
        if (!muted && (!add_input(look, i, surplus) || !add_house(look, i, surplus)))
            return false;
    }
    return true;
}

bool
surplus_of(struct look *look, int input, struct surplus *surplus)
{
    int preamp;

    *surplus = (struct surplus){
        .told_on = -1, .loudest_db = -HUGE_VAL, .at_unity_db = -HUGE_VAL, .house_db = -HUGE_VAL};
    if (!look_preamp(look, input, &preamp) || !add_inputs(look, preamp, surplus))
        return false;
    if (!surplus->open)
        return true;
    if (look->show->role == ROLE_HOUSE && surplus->house_db == -HUGE_VAL)
        surplus->unsettled = true;
    if (!look_number(look, PARAM_INPUT_PREAMP_GAIN, input, 0, &surplus->preamp_db) ||
        !look_number(look, PARAM_INPUT_PAD, input, 0, &surplus->pad_db))
        return false;
    surplus->lowest_db = desk_travel(look->desk, PARAM_INPUT_PREAMP_GAIN).least;
    surplus->surplus_db =
        fmax(0, fmin(-fmax(surplus->loudest_db, surplus->house_db), to_give_db(surplus)));
    return true;
}

bool
surplus_is_masters_fault(const struct surplus *surplus, double note_db)
{
    return -fmax(surplus->at_unity_db, surplus->house_db) < note_db;
}
