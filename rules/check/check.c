/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>

const enum param_id *
check_reads(const struct check *check, bool mix)
{
    return mix && check->mix_reads ? check->mix_reads : check->reads;
}

/* The dead band: a finding that stands is asked with easier thresholds, so that a value resting on
 * one is one finding. A threshold other than 0 never eases by more than half of itself. */
static double
eased(const struct setting *setting, double value, int standing)
{
    double most = value != 0 ? fabs(value) / 2 : HUGE_VAL;

    if (standing == CHECK_AFRESH || standing < (int)setting->eases_at)
        return value;
    return value + fmax(-most, fmin(most, setting->eases));
}

/* Looks on beside the verdict, which stands. */
static void
word(const struct check *check, const struct look *judged, struct object object)
{
    struct verdict *verdict = judged->verdict, aside = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = *judged;
    struct wording wording = {.look = &look, .object = object, .verdict = verdict};

    look.verdict = &aside;
    text_init(&wording.says, verdict->says, sizeof verdict->says);
    text_init(&wording.cure, verdict->cure, sizeof verdict->cure);
    check->say(&wording);
}

void
check_run(const struct check *check, const struct ground *ground, int standing,
          struct object object, struct verdict *verdict)
{
    const struct show_check *set = &ground->show->checks[check->number];
    struct look look =
        look_reader(ground->desk, ground->show, check_reads(check, object.mix >= 0), verdict);

    look.ground = ground;
    for (int i = 0; i < CHECK_SETTINGS; i++)
        look.settings[i] = eased(&check->settings[i], set->settings[i], standing);
    check->run(&look, object);
    if (verdict->outcome == OUTCOME_FINDING)
        word(check, &look, object);
}
