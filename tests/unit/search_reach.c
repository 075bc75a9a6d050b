/* SPDX-License-Identifier: MIT */
#include "search_reach.h"

#include <math.h>

enum { INPUTS = SCENE_INPUTS, MIXES = SCENE_MIXES };

double
reach_get(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(desk, id, row, column);

    return value->state == VALUE_KNOWN ? value_last_heard(value) : NAN;
}

bool
reach_is_house(const struct search *search)
{
    return search->scene->show->role == ROLE_HOUSE;
}

/* -HUGE_VAL: closed. NAN: not known. */
double
reach_send_db(const struct desk *desk, int input, int mix)
{
    double on = reach_get(desk, PARAM_SEND_ON, input, mix);

    return isnan(on) ? NAN : on == 0 ? -HUGE_VAL : reach_get(desk, PARAM_SEND_LEVEL, input, mix);
}

double
reach_fader_db(const struct desk *desk, int input)
{
    double db = reach_get(desk, PARAM_INPUT_FADER, input, 0);

    for (int group = 0; group < desk_count(desk, INDEX_GROUP); group++)
        if (reach_get(desk, PARAM_INPUT_GROUP, input, group) != 0)
            db += reach_get(desk, PARAM_GROUP_FADER, group, 0);
    return db;
}

static double
makeup_db(const struct desk *desk, int input)
{
    return reach_get(desk, PARAM_INPUT_COMP_ON, input, 0) == 0
               ? 0
               : reach_get(desk, PARAM_INPUT_COMP_MAKEUP, input, 0);
}

/* What lies behind the preamp on the way into a mix. */
static double
use_db(const struct desk *desk, int input, int mix)
{
    double tap = reach_get(desk, PARAM_SEND_TAP, input, mix), db = reach_send_db(desk, input, mix);

    if (db == -HUGE_VAL)
        return db;
    db += reach_get(desk, PARAM_INPUT_TRIM, input, 0) + reach_get(desk, PARAM_MIX_FADER, mix, 0) +
          reach_get(desk, PARAM_MIX_TRIM, mix, 0);
    if (tap != TAP_PRE_EQ)
        db += makeup_db(desk, input);
    if (tap == TAP_POST_FADER)
        db += reach_fader_db(desk, input);
    return isnan(tap) ? NAN : db;
}

/* A fader that is moved for the house brings the sends behind it along. */
bool
reach_goes_with_fader(const struct search *search, int input, int mix)
{
    return reach_is_house(search) &&
           reach_get(search->desk, PARAM_SEND_TAP, input, mix) == TAP_POST_FADER;
}

/* The ends of a control; a send whose upper end is not told reaches 0 dB. */
struct travel
reach_ends_of(const struct desk *desk, enum param_id id, double now)
{
    struct travel ends = desk_travel(desk, id);

    if (isnan(ends.most) && id == PARAM_SEND_LEVEL)
        ends.most = fmax(0, now);
    return ends;
}

/* ---- what may be moved at all ---- */

bool
reach_is_accepted(const struct search *search, enum param_id id, int row)
{
    const struct accept *accept = &search->scene->accept;

    if (search->scene->show->accept_count == 0)
        return false;
    switch (accept->check) {
    case CHECK_UNUSED_PREAMP_GAIN:
        return id == PARAM_INPUT_PREAMP_GAIN && search->first[row] == search->first[accept->input];
    case CHECK_MASTER_OFF_UNITY:
        return id == PARAM_MIX_FADER && row == accept->mix;
    default:
        return (id == PARAM_SEND_LEVEL || id == PARAM_SEND_ON) && row == accept->input;
    }
}

/* Whether all of the input's uses are known, none of its sends goes into a master that is off, and
 * nobody else hears its preamp. */
static bool
is_input_clear(const struct search *search, int input)
{
    const struct show_input *show = &search->scene->show->inputs[input];
    bool clear = !show->also_feeds && !show->house_preamp;

    for (int mix = 0; mix < MIXES; mix++)
        clear &= reach_send_db(search->desk, input, mix) == -HUGE_VAL ||
                 (!isnan(use_db(search->desk, input, mix)) &&
                  reach_get(search->desk, PARAM_MIX_FADER, mix, 0) > -HUGE_VAL &&
                  (reach_goes_with_fader(search, input, mix) ||
                   !reach_is_accepted(search, PARAM_SEND_LEVEL, input)));
    if (reach_is_house(search))
        clear &= !isnan(reach_fader_db(search->desk, input));
    return clear;
}

/* Whether something is plugged in there and heard. */
static bool
is_input_used(const struct search *search, int input)
{
    bool used = false;

    for (int mix = 0; mix < MIXES; mix++)
        used |= use_db(search->desk, input, mix) > -HUGE_VAL;
    return used && reach_get(search->desk, PARAM_INPUT_MUTE, input, 0) == 0 &&
           search->scene->show->inputs[input].source != SOURCE_UNUSED;
}

bool
reach_may_trim(const struct search *search, int preamp)
{
    bool clear = search->scene->show->role != ROLE_UNKNOWN && search->first[preamp] == preamp &&
                 !isnan(reach_get(search->desk, PARAM_INPUT_PREAMP_GAIN, preamp, 0)) &&
                 !isnan(desk_travel(search->desk, PARAM_INPUT_PREAMP_GAIN).least) &&
                 !reach_is_accepted(search, PARAM_INPUT_PREAMP_GAIN, preamp);
    bool used = false, heard = !reach_is_house(search);

    for (int input = preamp; input < INPUTS && clear; input++) {
        if (search->first[input] != preamp)
            continue;
        clear &= is_input_clear(search, input);
        used |= is_input_used(search, input);
        heard |= reach_get(search->desk, PARAM_INPUT_MUTE, input, 0) == 0 &&
                 reach_fader_db(search->desk, input) > -HUGE_VAL;
    }
    return clear && used && heard;
}

bool
reach_may_master(const struct search *search, int mix)
{
    double master_db = reach_get(search->desk, PARAM_MIX_FADER, mix, 0);
    bool open = false;

    for (int input = 0; input < INPUTS; input++) {
        double send = reach_send_db(search->desk, input, mix);

        if (isnan(send) || (send > -HUGE_VAL && reach_is_accepted(search, PARAM_SEND_LEVEL, input)))
            return false;
        open |= use_db(search->desk, input, mix) != -HUGE_VAL &&
                search->scene->show->inputs[input].source != SOURCE_UNUSED;
    }
    return open && isfinite(master_db) && !reach_is_accepted(search, PARAM_MIX_FADER, mix);
}

/* ---- how far ---- */

/* How far down a preamp may come. */
struct room {
    double most_db;   /* before a control is at its end, or a send at 0 dB */
    double unused_db; /* before its loudest use is at 0 dB */
};

/* A control that goes up by as much, or down. */
static void
hold(struct room *room, double now, bool up, struct travel ends)
{
    room->most_db = fmin(room->most_db, up ? ends.most - now : now - ends.least);
}

static void
hold_sends(const struct search *search, const struct choice *choice, int input, struct room *room)
{
    const struct desk *desk = search->desk;

    for (int mix = 0; mix < MIXES; mix++) {
        double now = reach_send_db(desk, input, mix);

        if (now == -HUGE_VAL)
            continue;
        if (reach_get(desk, PARAM_INPUT_MUTE, input, 0) == 0)
            room->unused_db = fmin(room->unused_db, -use_db(desk, input, mix));
        if (!reach_goes_with_fader(search, input, mix))
            room->most_db = fmin(room->most_db, -(now + choice->master[mix]));
    }
}

static void
hold_dynamics(const struct search *search, int input, struct room *room)
{
    static const enum param_id dynamics[][2] = {{PARAM_INPUT_COMP_ON, PARAM_INPUT_COMP_THRESHOLD},
                                                {PARAM_INPUT_GATE_ON, PARAM_INPUT_GATE_THRESHOLD}};

    for (int i = 0; i < 2; i++) {
        double threshold = reach_get(search->desk, dynamics[i][1], input, 0);

        if (reach_get(search->desk, dynamics[i][0], input, 0) == 0)
            continue;
        hold(room, threshold, false, desk_travel(search->desk, dynamics[i][1]));
        if (isnan(threshold))
            room->most_db = 0;
    }
}

static void
hold_house(const struct search *search, int input, struct room *room)
{
    const struct desk *desk = search->desk;
    double fader = reach_get(desk, PARAM_INPUT_FADER, input, 0);

    if (!reach_is_house(search) || fader == -HUGE_VAL)
        return;
    hold(room, fader, true, desk_travel(desk, PARAM_INPUT_FADER));
    if (reach_get(desk, PARAM_INPUT_MUTE, input, 0) == 0)
        room->unused_db =
            fmin(room->unused_db, -(reach_get(desk, PARAM_INPUT_TRIM, input, 0) +
                                    makeup_db(desk, input) + reach_fader_db(desk, input)));
}

/* With the masters as chosen; 0 where less than a card is worth comes of it. */
double
reach_down_db(const struct search *search, const struct choice *choice, int preamp)
{
    double step = fmax(1e-9, desk_step(search->desk, PARAM_INPUT_PREAMP_GAIN)), most_db;
    struct room room = {HUGE_VAL, HUGE_VAL};

    if (!search->may_trim[preamp])
        return 0;
    hold(&room, reach_get(search->desk, PARAM_INPUT_PREAMP_GAIN, preamp, 0), false,
         desk_travel(search->desk, PARAM_INPUT_PREAMP_GAIN));
    for (int input = preamp; input < INPUTS; input++)
        if (search->first[input] == preamp) {
            hold_sends(search, choice, input, &room);
            hold_dynamics(search, input, &room);
            hold_house(search, input, &room);
        }
    most_db = floor(fmin(room.most_db, room.unused_db) / step + 1e-6) * step;
    return most_db >= SEARCH_LEAST_DB && room.unused_db >= search->told_from_db ? most_db : 0;
}

/* Whether all sends stay within their travel. */
bool
reach_fits(const struct search *search, const struct choice *choice)
{
    bool fit = true;

    for (int input = 0; input < INPUTS; input++)
        for (int mix = 0; mix < MIXES; mix++) {
            double now = reach_send_db(search->desk, input, mix), up = choice->master[mix];
            struct travel ends = reach_ends_of(search->desk, PARAM_SEND_LEVEL, now);

            if (search->first[input] >= 0 && !reach_goes_with_fader(search, input, mix))
                up += choice->preamp[search->first[input]];
            if (now > -HUGE_VAL && up != 0)
                fit &= !(now + up > ends.most) && !(now + up < ends.least);
        }
    return fit;
}
