/* SPDX-License-Identifier: MIT */
/* The ceilings. Each purpose keeps one: a mix alone, all together, a mix pushed with all open; the
 * later one takes its place unless that leaves less of the margin of the desk as it stands.
 */
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "core/need.h"
#include "proof/counted.h"
#include "proof/pushed.h"
#include "ring/parts.h"

enum purpose { PURPOSE_ALONE, PURPOSE_TOGETHER, PURPOSE_PUSHED };

static enum purpose
purpose_now(const struct ringing *ringing)
{
    if (!ringing->together)
        return PURPOSE_ALONE;
    return ringing->phase == PHASE_BACK ? PURPOSE_PUSHED : PURPOSE_TOGETHER;
}

static int *
slot_of(const struct ringing *ringing, enum purpose purpose, const struct course *course)
{
    int at = (int)(course - ringing->courses);

    switch (purpose) {
    case PURPOSE_ALONE:
        return &ringing->slots[at];
    case PURPOSE_PUSHED:
        return &ringing->slots[ringing->count + 1 + at];
    case PURPOSE_TOGETHER:
        break;
    }
    return &ringing->slots[ringing->count];
}

void
keep_init(struct ringing *ringing)
{
    int slots = 2 * ringing->count + 1;

    assert(ringing->count <= RING_MIXES_MOST);
    ringing->slots = need_memory((size_t)slots, sizeof *ringing->slots);
    ringing->kept.ceilings = need_memory((size_t)slots, sizeof *ringing->kept.ceilings);
    ringing->kept.rings = need_memory(RINGS_MOST, sizeof *ringing->kept.rings);
    for (int i = 0; i < slots; i++)
        ringing->slots[i] = -1;
}

void
keep_release(struct ringing *ringing)
{
    proof_free(ringing->proof);
    for (int i = 0; i < ringing->kept.ceiling_count; i++)
        desk_free(ringing->kept.ceilings[i].desk);
    desk_free(ringing->kept.left);
    free(ringing->kept.ceilings);
    free(ringing->kept.rings);
    free(ringing->slots);
}

void
keep_renew(struct ringing *ringing)
{
    proof_free(ringing->proof);
    ringing->proof = NULL;
    if (ringing->kept.ceiling_count > 0)
        ringing->proof = proof_new(ringing->desk, ringing->show, &ringing->kept);
}

/* ---- whether it is one ---- */

static bool
is_gated(const struct ringing *ringing, const struct desk *desk, int mix, int *input)
{
    for (*input = 0; *input < ringing->inputs; ++*input) {
        const struct value *gate = desk_value(desk, PARAM_INPUT_GATE_ON, *input, 0);

        if (side_spot(&ringing->side, *input, mix)->open != SURE_NO &&
            !(gate->state == VALUE_KNOWN && value_number(gate) == 0))
            return true;
    }
    *input = -1;
    return false;
}

static void
say_why_not(struct ringing *ringing, const struct desk *desk, const struct course *course)
{
    int input;
    bool gated = is_gated(ringing, desk, course->mix, &input);

    ring_tell(ringing, ring_made(ringing, gated ? RING_GATE : RING_NOT_KNOWN, course->mix, input));
}

/* What is left of the margin of a desk under that one ceiling: of the mix, or of all (mix -1).
 * NAN: nothing is proved. */
static double
left_db(const struct ringing *ringing, const struct desk *now, struct proof_ceiling *ceiling,
        int mix)
{
    struct proofs one = {.ceilings = ceiling, .ceiling_count = 1};
    struct proof *proof = proof_new(now, ringing->show, &one);
    const struct proof_figure *figure =
        mix < 0 ? proof_of_desk(proof) : &proof_of_mix(proof, mix)->alone;
    double db = figure->ceiling < 0 ? (double)NAN : figure->db;

    proof_free(proof);
    return db;
}

/* ---- keeping ---- */

/* The most that a path into the mix rose since, whichever microphone is raised. */
static double
rise_since_db(const struct ringing *ringing, const struct desk *stood, int mix)
{
    double most_db = 0;

    for (int input = 0; input < ringing->inputs; input++) {
        const struct spot *spot = side_spot(&ringing->side, input, mix);
        struct path_level level;

        if (spot->open == SURE_YES && path_level_on(stood, input, mix, &level) &&
            isfinite(level.sum_db) && counted_input(ringing->desk, ringing->show, input) != SURE_NO)
            most_db = fmax(most_db, spot->level_db - level.sum_db);
    }
    return most_db;
}

static bool
others_sound(const struct ringing *ringing, int mix)
{
    for (int other = 0; other < ringing->mixes; other++)
        if (other != mix && ring_sounds(ringing, other))
            return true;
    return false;
}

static void
say_proved(struct ringing *ringing, const struct proof_ceiling *ceiling, int mix)
{
    struct ring_event event = ring_made(ringing, RING_PROVED, mix, -1);

    event.db = ceiling->step_db;
    ring_tell(ringing, event);
}

static void
put(struct ringing *ringing, int *slot, struct proof_ceiling *ceiling)
{
    if (*slot < 0)
        *slot = ringing->kept.ceiling_count++;
    else
        desk_free(ringing->kept.ceilings[*slot].desk);
    ceiling->desk = desk_copy(ceiling->desk);
    ringing->kept.ceilings[*slot] = *ceiling;
    keep_renew(ringing);
}

void
keep_ceiling(struct ringing *ringing, const struct course *course)
{
    enum purpose purpose = purpose_now(ringing);
    int *slot = slot_of(ringing, purpose, course);
    int mix = purpose == PURPOSE_TOGETHER ? -1 : course->mix;
    struct desk *stood = ringing->stood.desk;
    struct proof_ceiling ceiling = {.desk = stood, .made.now_ms = ringing->now_ms};

    stood_taken(&ringing->stood);
    ceiling.mix = purpose == PURPOSE_ALONE && !others_sound(ringing, course->mix) ? mix : -1;
    ceiling.step_db = rise_since_db(ringing, stood, course->mix);
    if (isnan(left_db(ringing, stood, &ceiling, purpose == PURPOSE_ALONE ? mix : -1))) {
        say_why_not(ringing, stood, course);
        return;
    }
    if (*slot >= 0 && left_db(ringing, ringing->desk, &ceiling, mix) <
                          left_db(ringing, ringing->desk, &ringing->kept.ceilings[*slot], mix))
        return;
    put(ringing, slot, &ceiling);
    say_proved(ringing, &ceiling, mix);
}

/* The best there is of the mix with all else as it stands, else alone. */
double
keep_step_db(const struct ringing *ringing, const struct course *course)
{
    const enum purpose order[] = {PURPOSE_PUSHED, PURPOSE_TOGETHER, PURPOSE_ALONE};

    for (int i = 0; i < 3; i++) {
        int slot = *slot_of(ringing, order[i], course);

        if (slot >= 0)
            return ringing->kept.ceilings[slot].step_db;
    }
    return NAN;
}

static bool
has_together(const struct ringing *ringing)
{
    return ringing->slots[ringing->count] >= 0;
}

double
keep_less_db(const struct ringing *ringing, const struct course *course)
{
    bool pushed = *slot_of(ringing, PURPOSE_PUSHED, course) >= 0;

    return has_together(ringing) && !pushed && others_sound(ringing, course->mix) ? PUSHED_LESS_DB
                                                                                  : 0;
}

void
keep_rings(struct ringing *ringing)
{
    struct proofs *kept = &ringing->kept;

    kept->ring_count = 0;
    for (int i = 0; i < ringing->seen_count; i++) {
        const struct ring_seen *seen = &ringing->seen[i];

        if (isnan(seen->hz) || isnan(ringing->seen_gain_db[i]))
            continue;
        kept->rings[kept->ring_count++] = (struct proof_ring){.hz = seen->hz,
                                                              .mix = seen->mix,
                                                              .input = seen->input,
                                                              .gain_db = ringing->seen_gain_db[i],
                                                              .made.now_ms = seen->at_ms};
    }
}

void
keep_left(struct ringing *ringing)
{
    desk_free(ringing->kept.left);
    ringing->kept.left = desk_copy(ringing->desk);
    ringing->kept.left_made.now_ms = ringing->now_ms;
    keep_renew(ringing);
}
