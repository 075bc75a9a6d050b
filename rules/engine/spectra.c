/* SPDX-License-Identifier: MIT */
/* Spectra in the engine: frames go into what may be ringing, and only what stands of a mix then marks
 * its check. Without them nothing here is ever called.
 */
#include "change/suspects.h"
#include "engine/parts.h"

void
engine_watch_spectra(struct engine *engine, const struct spectrum_bands *bands, double per_second)
{
    suspects_free(engine->suspects);
    engine->suspects = suspects_new(engine->desk, bands, per_second);
    engine->ground.suspects = engine->suspects;
    marks_set_spectra(engine->marks, true);
}

const struct suspects *
engine_suspects(const struct engine *engine)
{
    return engine->suspects;
}

void
engine_hear_rings(struct engine *engine, bool hear)
{
    if (engine->suspects)
        suspects_hear_rings(engine->suspects, hear);
}

static void
mark_suspect(void *context, int mix)
{
    struct engine *engine = context;

    engine_forget_plan(engine);
    marks_one(engine->marks, CHECK_MIX_RINGING, (struct object){-1, mix});
}

void
engine_hear_spectrum(struct engine *engine, int mix, const double *levels, int64_t now_ms)
{
    if (engine->suspects && suspects_take(engine->suspects, mix, levels, now_ms))
        mark_suspect(engine, mix);
}

void
engine_hush_spectra(struct engine *engine, int64_t now_ms)
{
    if (engine->suspects)
        suspects_hush(engine->suspects, now_ms, mark_suspect, engine);
}

void
engine_age_spectra(struct engine *engine, int64_t now_ms)
{
    if (engine->suspects)
        suspects_age(engine->suspects, now_ms, mark_suspect, engine);
}

int64_t
engine_spectra_next_ms(const struct engine *engine)
{
    return engine->suspects ? suspects_next_ms(engine->suspects) : INT64_MAX;
}
