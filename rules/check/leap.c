/* SPDX-License-Identifier: MIT */
#include "check/leap.h"

#include <math.h>

#include "change/offset.h"
#include "sound/path.h"

double
leap_db(const struct jump *jump)
{
    return jump->to - fmax(jump->from, LEAP_OFF_DB);
}

static bool
is_gain(enum param_id id)
{
    return id == PARAM_INPUT_PREAMP_GAIN || id == PARAM_INPUT_TRIM || id == PARAM_MIX_TRIM;
}

/* What was never heard is taken for open, so that a desk which does not answer for its mutes hides no
 * leap. What was heard and is stale may be either. */
static enum sure
is_at(struct look *look, enum param_id id, int row, int column, double where)
{
    double number;

    if (desk_value(look->desk, id, row, column)->state == VALUE_UNKNOWN)
        return SURE_NO;
    return look_number(look, id, row, column, &number) ? sure(number == where) : UNSURE;
}

/* An input's fader is in a mix's path only where a send is taken behind it. */
static enum sure
has_post_fader_send(struct look *look, int input)
{
    enum sure has = SURE_NO;

    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX) && has != SURE_YES; mix++) {
        enum sure post = is_at(look, PARAM_SEND_TAP, input, mix, TAP_POST_FADER);
        enum sure off = sure_or(is_at(look, PARAM_SEND_ON, input, mix, 0),
                                is_at(look, PARAM_SEND_LEVEL, input, mix, -HUGE_VAL));

        has = sure_or(has, sure_and(post, sure_not(off)));
    }
    return has;
}

static enum sure
is_closed(struct look *look, const struct jump *jump)
{
    enum sure closed;

    if (params[jump->id].row == INDEX_MIX)
        return is_at(look, PARAM_MIX_MUTE, jump->row, 0, 1);
    if (params[jump->id].row == INDEX_GROUP)
        return is_at(look, PARAM_GROUP_MUTE, jump->row, 0, 1);
    closed = is_at(look, PARAM_INPUT_MUTE, jump->row, 0, 1);
    if (jump->id == PARAM_INPUT_FADER)
        closed = sure_or(closed, sure_not(has_post_fader_send(look, jump->row)));
    if (jump->id == PARAM_SEND_LEVEL)
        closed = sure_or(closed, sure_or(is_at(look, PARAM_SEND_ON, jump->row, jump->column, 0),
                                         is_at(look, PARAM_MIX_MUTE, jump->column, 0, 1)));
    return closed;
}

bool
leap_counts(const struct jump *jump, const double settings[CHECK_SETTINGS])
{
    bool master = jump->id == PARAM_MIX_FADER && !jump->unseen;
    double least_db = settings[is_gain(jump->id) ? LEAP_GAIN_DB
                               : master          ? LEAP_MASTER_DB
                                                 : LEAP_FADER_DB];

    return leap_db(jump) >= least_db - LEAP_SLACK_DB &&
           (is_gain(jump->id) || jump->to > settings[LEAP_ABOVE_DB] + LEAP_SLACK_DB);
}

static enum sure
is_taken_back(struct look *look, const struct jump *jump)
{
    double number;

    return look_number(look, jump->id, jump->row, jump->column, &number)
               ? sure(number <= jump->to - leap_db(jump) / 2)
               : UNSURE;
}

/* ---- what was meant ---- */

/* What was meant must be known. */
static enum sure
is_at_its_place(struct look *look, const struct jump *jump)
{
    const struct desk *meant = ground_meant(look->ground);
    const struct value *value = meant ? desk_value(meant, jump->id, jump->row, jump->column) : NULL;
    double number;

    if (!value || value->state != VALUE_KNOWN)
        return SURE_NO;
    return look_number(look, jump->id, jump->row, jump->column, &number)
               ? sure(number <= value_number(value) + LEAP_SLACK_DB)
               : UNSURE;
}

static bool
lies_in(const struct jump *jump, int input, int mix)
{
    if (params[jump->id].row == INDEX_MIX)
        return jump->row == mix;
    return jump->row == input && (jump->id != PARAM_SEND_LEVEL || jump->column == mix);
}

/* Whether one path of the control is no louder than it was meant to be; counts it where it is open.
 */
static enum sure
is_path_made_up_for(struct look *look, int input, int mix, int *open)
{
    struct path_level was, is;

    if (!path_level_on(ground_meant(look->ground), input, mix, &was))
        return SURE_NO;
    if (!path_level(look, input, mix, &is))
        return UNSURE;
    *open += is.sum_db > -HUGE_VAL;
    return sure(is.sum_db <= was.sum_db + OFFSET_TOLERANCE_DB);
}

/* Whether open paths go through the control and none of them is louder than it was meant to be: who
 * brings sends down and then their preamp up does not slip. */
static enum sure
is_made_up_for(struct look *look, const struct jump *jump)
{
    enum sure made_up = SURE_YES;
    int open = 0;

    if (params[jump->id].row == INDEX_GROUP || !ground_meant(look->ground))
        return SURE_NO;
    for (int input = 0; input < desk_count(look->desk, INDEX_INPUT); input++)
        for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX) && made_up != SURE_NO; mix++)
            if (lies_in(jump, input, mix))
                made_up = sure_and(made_up, is_path_made_up_for(look, input, mix, &open));
    return made_up == SURE_YES ? sure(open > 0) : made_up;
}

enum sure
leap_is_left(struct look *look, const struct jump *jump)
{
    enum sure over = is_taken_back(look, jump);

    if (over != SURE_YES)
        over = sure_or(over, is_at_its_place(look, jump));
    if (over != SURE_YES)
        over = sure_or(over, is_made_up_for(look, jump));
    return sure_not(over);
}

enum sure
leap_stands(struct look *look, const struct jump *jump)
{
    enum sure closed;

    if (!leap_counts(jump, look->settings))
        return SURE_NO;
    closed = is_closed(look, jump);
    return closed == SURE_YES ? SURE_NO : sure_and(sure_not(closed), leap_is_left(look, jump));
}

/* ---- where to ---- */

static bool
may_reach(struct look *look, int input, int mix)
{
    struct path_level level;

    return is_at(look, PARAM_MIX_MUTE, mix, 0, 1) != SURE_YES &&
           (!path_level(look, input, mix, &level) || level.sum_db > -HUGE_VAL);
}

bool
leap_stays_in(struct look *look, const struct jump *jump, const bool *mixes)
{
    bool before_sends = params[jump->id].row == INDEX_INPUT && jump->id != PARAM_SEND_LEVEL;

    if (params[jump->id].row == INDEX_GROUP)
        return false;
    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++)
        if (!(mixes[mix] && feeds_loudspeaker(look_feeds(look, mix))) &&
            (before_sends ? may_reach(look, jump->row, mix) : lies_in(jump, jump->row, mix)))
            return false;
    return true;
}

enum weight
leap_weight(struct look *look, const struct jump *jump)
{
    int mix = params[jump->id].row == INDEX_MIX ? jump->row
              : jump->id == PARAM_SEND_LEVEL    ? jump->column
                                                : -1;
    bool ears = mix >= 0 && look_feeds(look, mix) == FEEDS_IN_EAR;
    bool far = leap_db(jump) >= look->settings[LEAP_FADER_DB] - LEAP_SLACK_DB || is_gain(jump->id);

    return ears && far ? WEIGHT_STOP : weight_up(WEIGHT_NOTE);
}
