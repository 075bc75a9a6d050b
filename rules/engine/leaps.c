/* SPDX-License-Identifier: MIT */
/* What leapt, for the watcher, which looks at no check itself. */
#include "check/value_jumped.h"
#include "engine/parts.h"

void
engine_leaps(const struct engine *engine, const struct desk *before, struct leaps *leaps)
{
    value_jumped_between(&engine->ground, before, leaps);
}

bool
engine_leaps_high(const struct engine *engine, const struct finding *finding)
{
    return value_jumped_ends_high(&engine->ground, finding->object);
}

bool
engine_leaps_stay_in(const struct engine *engine, const struct finding *finding, const bool *mixes)
{
    return value_jumped_stays_in(&engine->ground, finding->object, mixes);
}

bool
engine_feeds_loudspeaker(const struct engine *engine, int mix)
{
    static const enum param_id reads[] = {PARAM_MIX_NAME, PARAMS};
    struct verdict aside;
    struct look look = look_reader(engine->desk, engine->show, reads, &aside);

    return feeds_loudspeaker(look_feeds(&look, mix));
}
