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

/* A look at the object with the check's eyes; `verdict` is readied. */
static struct look
look_as(const struct check *check, const struct ground *ground, int standing, struct object object,
        struct verdict *verdict)
{
    const struct show_check *set = &ground->show->checks[check->number];
    struct look look =
        look_reader(ground->desk, ground->show, check_reads(check, object.mix >= 0), verdict);

    look.ground = ground;
    look.stands = standing != CHECK_AFRESH;
    for (int i = 0; i < CHECK_SETTINGS && check->settings[i].name; i++)
        look.settings[i] = eased(&check->settings[i], set->settings[i], standing);
    return look;
}

void
check_run(const struct check *check, const struct ground *ground, int standing,
          struct object object, struct verdict *verdict, struct misses *misses)
{
    struct look look = look_as(check, ground, standing, object, verdict);

    check->run(&look, object);
    if (misses && verdict->outcome == OUTCOME_NOT_KNOWN)
        *misses = look_missing(&look);
}

void
check_say(const struct check *check, const struct ground *ground, int standing,
          struct object object, const struct verdict *verdict, struct words *words)
{
    struct verdict aside; /* what the look remembers reaches no verdict any more */
    struct look look = look_as(check, ground, standing, object, &aside);
    struct wording wording = {.look = &look, .object = object, .verdict = verdict};

    text_init(&wording.says, words->says, sizeof words->says);
    text_init(&wording.cure, words->cure, sizeof words->cure);
    check->say(&wording);
}
