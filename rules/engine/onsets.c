/* SPDX-License-Identifier: MIT */
#include "engine/onsets.h"

#include <assert.h>
#include <math.h>

#include "proof/kept.h"
#include "proof/tone.h"

static_assert((int)ONSETS_MOST == (int)PROOFS_MOST, "every ring has room");

/* The desk's gain of the ring's path at its frequency; -HUGE_VAL: off, or not known. */
static double
gain_db(const struct desk *desk, const struct proof_ring *ring)
{
    struct tone input = {0}, mix = {0};
    struct path_level level;
    double db = -HUGE_VAL;

    if (!path_level_on(desk, ring->input, ring->mix, &level))
        return db;
    tone_of_input(&input, desk, ring->input);
    tone_of_mix(&mix, desk, ring->mix);
    if (mix.known && (input.known || !level.filtered))
        db = level.sum_db + tone_db(&mix, ring->hz) +
             (level.filtered ? tone_db(&input, ring->hz) : 0);
    tone_release(&input);
    tone_release(&mix);
    return db;
}

/* At a ceiling nothing rang, and a step above it something did. */
static double
gain_by_ceilings_db(const struct proofs *proofs, const struct proof_ring *ring)
{
    double db = -HUGE_VAL;

    for (int i = 0; i < proofs->ceiling_count; i++) {
        const struct proof_ceiling *ceiling = &proofs->ceilings[i];

        if (ceiling->mix < 0 || ceiling->mix == ring->mix)
            db = fmax(db, gain_db(ceiling->desk, ring) + ceiling->step_db);
    }
    return db;
}

int
onsets_of(const struct proofs *proofs, struct onset_measured onsets[ONSETS_MOST])
{
    int count = 0;

    for (int i = 0; i < proofs->ring_count; i++) {
        const struct proof_ring *ring = &proofs->rings[i];
        double db = ring->gain_db;

        if (ring->input < 0)
            continue;
        if (isnan(db))
            db = gain_by_ceilings_db(proofs, ring);
        if (db > -HUGE_VAL)
            onsets[count++] = (struct onset_measured){ring->input, ring->mix, ring->hz, db};
    }
    return count;
}
