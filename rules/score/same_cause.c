/* SPDX-License-Identifier: MIT */
#include "score/same_cause.h"

/* Controls that several findings can be about: those of a preamp, which several checks look at, and
 * which several inputs may be fed by. */
static enum param_id
control_of(const struct finding *finding)
{
    switch (finding->check->number) {
    case CHECK_UNUSED_PREAMP_GAIN:
    case CHECK_INPUT_HOT:
    case CHECK_INPUT_FAINT:
        return PARAM_INPUT_PREAMP_GAIN;
    case CHECK_PHANTOM_MISMATCH:
        return PARAM_INPUT_PHANTOM;
    default:
        return PARAMS;
    }
}

static bool
share_a_preamp(const struct desk *desk, int one, int other)
{
    const struct value *preamp = desk_value(desk, PARAM_INPUT_PREAMP, one, 0);
    const struct value *its = desk_value(desk, PARAM_INPUT_PREAMP, other, 0);

    return one == other || (preamp->state == VALUE_KNOWN && its->state == VALUE_KNOWN &&
                            value_number(preamp) == value_number(its));
}

bool
same_cause(const struct desk *desk, const struct score_line *one, const struct score_line *other)
{
    enum param_id control = control_of(one->finding);

    if (one->card != PLAN_NO_CARD && one->card == other->card)
        return true;
    return control != PARAMS && control == control_of(other->finding) &&
           share_a_preamp(desk, one->finding->object.input, other->finding->object.input);
}
