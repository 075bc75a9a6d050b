/* SPDX-License-Identifier: MIT */
#include "watcher/ring_out.h"

#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "core/need.h"

void
ring_out_init(struct ring_out *ring_out, int mixes)
{
    *ring_out = (struct ring_out){.mixes = need_memory((size_t)mixes + 1, sizeof(bool)),
                                  .count = mixes,
                                  .until_ms = INT64_MIN,
                                  .moved_ms = INT64_MIN};
}

void
ring_out_release(struct ring_out *ring_out)
{
    free(ring_out->mixes);
}

void
ring_out_begin(struct ring_out *ring_out, const bool *mixes, int64_t now_ms)
{
    memcpy(ring_out->mixes, mixes, (size_t)ring_out->count * sizeof *mixes);
    ring_out->until_ms = now_ms + RING_OUT_MOST_MS;
    ring_out->followed = true;
}

static void
be_over(struct ring_out *ring_out)
{
    ring_out->until_ms = ring_out->moved_ms = INT64_MIN;
}

void
ring_out_end(struct ring_out *ring_out)
{
    ring_out->followed = false;
    be_over(ring_out);
}

void
ring_out_carry(struct ring_out *ring_out, const struct ring_out *from)
{
    for (int mix = 0; mix < ring_out->count; mix++)
        ring_out->mixes[mix] = mix < from->count && from->mixes[mix];
    ring_out->until_ms = from->until_ms;
    ring_out->followed = from->followed;
    ring_out->moves_since_ms = from->moves_since_ms;
    ring_out->moved_ms = from->moved_ms;
}

int64_t
ring_out_pass(struct ring_out *ring_out, int64_t now_ms)
{
    if (ring_out_is_on(ring_out) && ring_out->until_ms <= now_ms)
        be_over(ring_out);
    return ring_out_is_on(ring_out) ? ring_out->until_ms : INT64_MAX;
}

/* What is ridden in a show says nothing of a ring-out. */
static bool
is_ridden(enum param_id id)
{
    return id == PARAM_INPUT_FADER || id == PARAM_INPUT_MUTE;
}

static bool
is_of(const struct ring_out *ring_out, const struct move *move)
{
    if (params[move->id].row == INDEX_MIX)
        return ring_out->mixes[move->row];
    if (params[move->id].column == INDEX_MIX)
        return ring_out->mixes[move->column];
    return params[move->id].row == INDEX_INPUT && !is_ridden(move->id);
}

static bool
goes_on(struct ring_out *ring_out, int64_t now_ms)
{
    if (ring_out->moved_ms == INT64_MIN || now_ms - ring_out->moved_ms > RING_OUT_MOST_MS)
        ring_out->moves_since_ms = now_ms;
    ring_out->moved_ms = now_ms;
    return now_ms - ring_out->moves_since_ms >= RING_OUT_GOES_ON_MS;
}

void
ring_out_note(struct ring_out *ring_out, const struct move *move, int64_t now_ms)
{
    if (ring_out->followed && is_of(ring_out, move) &&
        (ring_out_is_on(ring_out) || goes_on(ring_out, now_ms)))
        ring_out->until_ms = now_ms + RING_OUT_MOST_MS;
}

bool
ring_out_holds(const struct ring_out *ring_out, const struct engine *engine,
               const struct finding *finding)
{
    int mix = finding->object.mix;

    if (!ring_out_is_on(ring_out) || finding->verdict.weight == WEIGHT_STOP)
        return false;
    switch (finding->check->number) {
    case CHECK_MARGIN_LEFT:
        return ring_out->mixes[mix] && engine_feeds_loudspeaker(engine, mix);
    case CHECK_MASTER_OFF_UNITY:
        return ring_out->mixes[mix] && engine_feeds_loudspeaker(engine, mix) &&
               !(verdict_figure(&finding->verdict, "master_db") > 0);
    case CHECK_VALUE_JUMPED:
        return engine_leaps_stay_in(engine, finding, ring_out->mixes);
    default:
        return false;
    }
}
