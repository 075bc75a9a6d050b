/* SPDX-License-Identifier: MIT */
#include "engine/difference_findings.h"

const char *
difference_finding_name(enum finding_change change)
{
    static const char *const names[FINDING_CHANGES] = {"new", "worse", "unchanged", "fixed",
                                                       "not judged"};

    return names[change];
}

/* Frozen or accepted ones do not stand. */
static bool
stands(const struct engine *engine, size_t slot)
{
    return engine_outcome(engine, slot) == OUTCOME_FINDING && engine_slot(engine, slot)->accept < 0;
}

static bool
is_worse(const struct finding *then, const struct finding *now)
{
    return now->verdict.weight > then->verdict.weight ||
           now->verdict.severity >= then->verdict.severity + now->check->worse_step;
}

static enum finding_change
change_of(const struct engine *then, const struct engine *now, size_t slot)
{
    enum outcome outcome = engine_outcome(now, slot);

    if (!stands(then, slot))
        return FINDING_NEW;
    if (stands(now, slot))
        return is_worse(engine_slot(then, slot), engine_slot(now, slot)) ? FINDING_WORSE
                                                                         : FINDING_UNCHANGED;
    return outcome == OUTCOME_NOT_KNOWN || outcome == OUTCOME_CLOSED ? FINDING_NOT_JUDGED
                                                                     : FINDING_FIXED;
}

void
difference_findings(const struct engine *then, const struct engine *now,
                    difference_finding_fn *each, void *context)
{
    for (size_t slot = 0; slot < engine_slots(now); slot++)
        if (stands(then, slot) || stands(now, slot))
            each(context, change_of(then, now, slot), engine_slot(then, slot),
                 engine_slot(now, slot));
}
