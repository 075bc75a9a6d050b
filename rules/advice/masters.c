/* SPDX-License-Identifier: MIT */
/* Masters to 0 dB, and every send into the mix the other way, so that no path gets louder. */
#include <math.h>

#include "advice/answer.h"
#include "advice/draft.h"

/* The open send of the input into the mix. False when it is not known; closed: -HUGE_VAL. */
static bool
read_send(const struct desk *desk, int input, int mix, double *send_db)
{
    const struct value *on = desk_value(desk, PARAM_SEND_ON, input, mix);
    const struct value *level = desk_value(desk, PARAM_SEND_LEVEL, input, mix);

    *send_db = -HUGE_VAL;
    if (on->state != VALUE_KNOWN)
        return false;
    if (value_number(on) == 0)
        return true;
    *send_db = value_number(level);
    return level->state == VALUE_KNOWN;
}

/* How far the sends can go the other way, of up_db, which is below 0 when they come down. Says what
 * stops them short. */
static double
room_db(struct draft *draft, int mix, double up_db)
{
    struct planner *planner = draft->planner;
    struct travel travel = desk_travel(planner->desk, PARAM_SEND_LEVEL);
    double room = up_db;

    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++) {
        double send_db, most_db, least_db;

        if (!read_send(planner->desk, input, mix, &send_db)) {
            draft_stop(draft, STOP_NOT_KNOWN, PARAM_SEND_LEVEL, input, mix);
            return 0;
        }
        if (send_db == -HUGE_VAL)
            continue;
        /* where no end is told, 0 dB is there on any desk */
        most_db = fmax(0, (isnan(travel.most) ? fmax(0, send_db) : travel.most) - send_db);
        least_db = isnan(travel.least) ? -HUGE_VAL : fmin(0, travel.least - send_db);
        if (room <= most_db && room >= least_db)
            continue;
        room = fmax(least_db, fmin(most_db, room));
        draft_short(draft, isnan(travel.most) ? STOP_NO_END : STOP_END, PARAM_SEND_LEVEL, input,
                    mix);
    }
    return room;
}

static void
make(struct planner *planner, int mix, double master_db)
{
    struct draft draft;
    double up_db, to_db;

    draft_begin(&draft, planner, CARD_MASTER, CHECK_MASTER_OFF_UNITY, (struct object){-1, mix});
    up_db = room_db(&draft, mix, master_db);
    to_db = up_db == master_db ? 0 : planner_ceil(planner, PARAM_MIX_FADER, master_db - up_db);
    if (master_db < 0 && up_db > master_db)
        to_db = planner_floor(planner, PARAM_MIX_FADER, master_db - up_db);
    up_db = master_db - to_db;
    draft.card.gives_db = fabs(up_db);
    draft_move(&draft, PARAM_MIX_FADER, mix, 0, to_db);
    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++) {
        double send_db;

        if (!read_send(planner->desk, input, mix, &send_db))
            continue;
        draft_expect(&draft, PARAM_SEND_ON, input, mix);
        if (send_db == -HUGE_VAL)
            draft_expect(&draft, PARAM_SEND_LEVEL, input, mix);
        else
            draft_move(&draft, PARAM_SEND_LEVEL, input, mix,
                       planner_floor(planner, PARAM_SEND_LEVEL, send_db + up_db));
    }
    draft_end(&draft);
}

void
plan_masters(struct planner *planner)
{
    struct verdict verdict;

    answer_note_own_sends(planner);
    for (int mix = 0; mix < desk_count(planner->desk, INDEX_MIX); mix++) {
        const struct value *master = desk_value(planner->desk, PARAM_MIX_FADER, mix, 0);

        if (planner_finds(planner, CHECK_MASTER_OFF_UNITY, (struct object){-1, mix}, &verdict) &&
            isfinite(value_number(master)))
            make(planner, mix, value_number(master));
    }
}
