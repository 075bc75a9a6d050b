/* SPDX-License-Identifier: MIT */
#include "advice/held.h"

#include <stddef.h>

#include "check/list.h"

/* What is put back is any control of the object. */
bool
held_is_moved_for(int check, enum param_id id)
{
    switch (check) {
    case CHECK_UNUSED_PREAMP_GAIN:
    case CHECK_INPUT_HOT:
    case CHECK_INPUT_FAINT:
        return id == PARAM_INPUT_PREAMP_GAIN;
    case CHECK_TOO_MANY_CUTS:
        return id == PARAM_MIX_GRAPHIC_BAND_GAIN || id == PARAM_MIX_EQ_BAND_GAIN;
    case CHECK_HIGH_PASS_MISSING:
    case CHECK_HIGH_PASS_LOW:
    case CHECK_HIGH_PASS_HIGH:
        return id == PARAM_INPUT_HIGH_PASS_ON || id == PARAM_INPUT_HIGH_PASS_FREQ;
    case CHECK_MASTER_OFF_UNITY:
        return id == PARAM_MIX_FADER;
    case CHECK_OWN_SEND_OFF_UNITY:
        return id == PARAM_SEND_LEVEL || id == PARAM_SEND_ON;
    case CHECK_SEND_FOLLOWS_FADER:
        return id == PARAM_SEND_TAP;
    case CHECK_BOOST_INTO_WEDGE:
        return id == PARAM_INPUT_EQ_BAND_GAIN || id == PARAM_MIX_EQ_BAND_GAIN ||
               id == PARAM_MIX_GRAPHIC_BAND_GAIN;
    case CHECK_MAKE_UP_INTO_WEDGE:
        return id == PARAM_INPUT_COMP_MAKEUP;
    case CHECK_OPEN_UNUSED_INPUT:
    case CHECK_OPEN_MICROPHONES:
        return id == PARAM_SEND_LEVEL || id == PARAM_SEND_ON || id == PARAM_INPUT_MUTE;
    case CHECK_EARS_UNPROTECTED:
        return id == PARAM_MIX_LIMITER_ON || id == PARAM_MIX_LIMITER_THRESHOLD ||
               id == PARAM_MIX_LIMITER_RATIO;
    case CHECK_MARGIN_LEFT:
    case CHECK_MIX_RINGING:
        return params[id].kind == DIFFERENCE_OF_STRUCTURE;
    case CHECK_PHANTOM_MISMATCH:
        return id == PARAM_INPUT_PHANTOM;
    case CHECK_VALUE_JUMPED:
    case CHECK_MOVED_FROM_APPROVED:
    case CHECK_PROTECTION_LOST:
        return true;
    default:
        return false;
    }
}

static bool
is_over(const struct accept *accept, int day)
{
    return accept->until != 0 && day > accept->until;
}

/* A send lies in an input and in a mix; an accept that names one of them covers it there. */
static bool
is_there(const struct accept *accept, enum param_id id, int row, int column)
{
    int input = params[id].row == INDEX_INPUT ? row : -1;
    int mix = params[id].row == INDEX_MIX ? row : params[id].column == INDEX_MIX ? column : -1;

    if (accept->input >= 0 && accept->input != input)
        return false;
    return accept->mix < 0 || mix < 0 || accept->mix == mix;
}

bool
held_covers(const struct show *show, int day, int check, struct object object,
            const struct verdict *verdict)
{
    for (int i = 0; i < show->accept_count; i++) {
        const struct accept *accept = &show->accepts[i];

        if (accept->check == check && !is_over(accept, day) &&
            (accept->input < 0 || accept->input == object.input) &&
            (accept->mix < 0 || accept->mix == object.mix || accept->mix == verdict->mix) &&
            verdict->severity <= accept->up_to)
            return true;
    }
    return false;
}

/* An accept of the very finding that the card is for has been outgrown. */
static bool
is_outgrown(const struct accept *accept, struct held_cause cause)
{
    return accept->check == cause.check &&
           (accept->input < 0 || accept->input == cause.object.input);
}

bool
held_control(const struct accept *accept, int day, struct held_cause cause, enum param_id id,
             int row, int column)
{
    return !is_over(accept, day) && !is_outgrown(accept, cause) &&
           held_is_moved_for(accept->check, id) && is_there(accept, id, row, column);
}
