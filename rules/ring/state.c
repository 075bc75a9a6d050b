/* SPDX-License-Identifier: MIT */
/* Where a ring-out stands, and what is to be done next. */
#include <math.h>

#include "proof/counted.h"
#include "ring/parts.h"

enum {
    SILENT_MS = 3000,     /* after a cut: if it still rings, that band is not silent yet */
    VOICE_MS = 30000,     /* where no meter tells a voice */
    RINGS_NOW_MS = 1000,  /* so new is what a spectrum shows, */
    RINGS_GREW_MS = 10000 /* and what is quiet and stands for longer is a hum */
};

static const double loud_db =
    -30; /* full scale; louder than any hum (common practice, no source) */

/* ---- figures ---- */

/* What is taken off for moves downwards takes what is left away, but nothing is past through it. */
static double
left_db(const struct proof_figure *figure)
{
    bool past = figure->db + figure->allowance_db < 0;

    return past ? figure->db : fmax(0, figure->db);
}

static struct ring_mix
mix_state(struct ringing *ringing, struct course *course)
{
    struct ring_mix of = {.mix = course->mix,
                          .own = course->input,
                          .begun = course->phase != PHASE_READY,
                          .back = course->back,
                          .closed = !ring_sounds(ringing, course->mix),
                          .rings = course->rings,
                          .cuts = course->cuts,
                          .speech_db = ring_speech_db(ringing, course),
                          .won_db = course->highest_db - course->first_db,
                          .proved_db = NAN,
                          .alone_db = NAN,
                          .step_db = keep_step_db(ringing, course)};
    const struct proof_mix *proved;

    if (!ringing->proof || ringing->blind)
        return of;
    proved = proof_of_mix(ringing->proof, course->mix);
    if (proved->state == PROOF_LEFT)
        of.proved_db = left_db(&proved->margin);
    if (proved->alone.ceiling >= 0)
        of.alone_db = left_db(&proved->alone);
    of.less_db = keep_less_db(ringing, course);
    return of;
}

/* ---- what next: one mix ---- */

static void
next_is(struct ring_state *state, enum ring_next next, int mix, double db)
{
    state->next = next;
    state->next_mix = mix;
    state->next_db = db;
    state->next_hz = NAN;
}

static bool
rings_now(const struct ringing *ringing, const struct heard *heard)
{
    return heard->hz > 0 && heard->at_ms >= ringing->now_ms - RINGS_NOW_MS &&
           (heard->level_db >= loud_db || heard->rose_ms >= ringing->now_ms - RINGS_GREW_MS);
}

/* What stands out in the mix's spectrum now, the loudest of it; NULL: nothing. */
static const struct heard *
rings_in(const struct ringing *ringing, const struct course *course)
{
    const struct heard *loudest = NULL;

    for (int i = 0; i < SPECTRUM_THIRDS; i++) {
        const struct heard *heard = &course->heard.of[i];

        if (rings_now(ringing, heard) && (!loudest || heard->level_db > loudest->level_db))
            loudest = heard;
    }
    return loudest;
}

/* The mix in which something does, the loudest; NULL: none. */
static const struct course *
ringing_course(const struct ringing *ringing)
{
    const struct course *loudest = NULL;
    double level_db = 0;

    for (int i = 0; i < ringing->count; i++) {
        const struct heard *heard = rings_in(ringing, &ringing->courses[i]);

        if (!heard || (loudest && heard->level_db <= level_db))
            continue;
        loudest = &ringing->courses[i];
        level_db = heard->level_db;
    }
    return loudest;
}

/* Whether something stands out in it: then that is next. */
static bool
next_rings(const struct ringing *ringing, const struct course *course, struct ring_state *state)
{
    const struct heard *heard = rings_in(ringing, course);

    if (!heard)
        return false;
    next_is(state, RING_NEXT_RINGS, course->mix, NAN);
    state->next_hz = heard->hz;
    return true;
}

static bool
is_ready(const struct ring_ready *ready)
{
    for (int item = 0; item < RING_READY_ITEMS; item++)
        if (ready->of[item].ready == SURE_NO && item != RING_READY_FLAT)
            return false;
    return true;
}

static const struct course *
next_course(const struct ringing *ringing)
{
    for (int i = 0; i < ringing->count; i++)
        if (ringing->courses[i].phase == PHASE_READY)
            return &ringing->courses[i];
    return NULL;
}

static void
next_after(const struct ringing *ringing, struct ring_state *state)
{
    const struct course *next = next_course(ringing);

    if (next)
        next_is(state, RING_NEXT_MIX, next->mix, NAN);
    else if (ringing->wants_together)
        next_is(state, RING_NEXT_MASTERS_DOWN, -1, NAN);
    else
        next_is(state, RING_NEXT_DONE, -1, NAN);
}

static void
next_up(const struct course *course, struct ring_state *state)
{
    enum ring_next up = course->cuts > 0 ? RING_NEXT_RAISE_ON : RING_NEXT_RAISE;

    next_is(state, course->cuts >= RING_CUTS_ENOUGH ? RING_NEXT_LAST_PUSH : up, course->mix, NAN);
}

/* How far it stands above all that did not ring. */
static double
past_db(const struct ringing *ringing, int mix)
{
    const struct proof_mix *of = ringing->proof ? proof_of_mix(ringing->proof, mix) : NULL;

    if (!of || (of->state != PROOF_LEFT && of->alone.ceiling < 0))
        return 0;
    return fmax(0, -left_db(of->state == PROOF_LEFT ? &of->margin : &of->alone));
}

/* The desk was read anew: whoever was on the way up is not done, and may have been pushed unheard. */
static bool
next_anew(const struct ringing *ringing, const struct course *course, struct ring_state *state)
{
    double past = past_db(ringing, course->mix);

    if (!isnan(course->top_db) || (course->back && past < RING_AT_DB))
        return false;
    if (past < RING_AT_DB)
        next_up(course, state);
    else
        next_is(state, RING_NEXT_STEP_BACK, course->mix, RING_BACK_DB + past);
    return true;
}

static void
next_of_course(const struct ringing *ringing, const struct course *course, struct ring_state *state)
{
    double fall_db = course->top_db - course->level_db;

    switch (course->phase) {
    case PHASE_READY:
        next_is(state, is_ready(&state->ready) ? RING_NEXT_RAISE : RING_NEXT_PREPARE, course->mix,
                NAN);
        return;
    case PHASE_RISING:
    case PHASE_RINGING:
        if (fall_db > RING_AT_DB && fall_db < RING_BACK_DB) /* on its way back */
            next_is(state, RING_NEXT_STEP_BACK, course->mix, RING_BACK_DB - fall_db);
        else if (course->phase == PHASE_RINGING && ringing->now_ms < course->cut_ms + SILENT_MS)
            next_is(state, RING_NEXT_SILENCE, course->mix, NAN);
        else if (!next_rings(ringing, course, state))
            next_up(course, state);
        return;
    case PHASE_BACK:
        break;
    }
    if (next_anew(ringing, course, state))
        return;
    if (fall_db < RING_BACK_DB - RING_AT_DB)
        next_is(state, RING_NEXT_STEP_BACK, course->mix, RING_BACK_DB - fall_db);
    else if (!course->voice && ringing->now_ms < course->back_ms + VOICE_MS)
        next_is(state, RING_NEXT_VOICE, course->mix, NAN);
    else
        next_after(ringing, state);
}

/* ---- what next: all together ---- */

static bool
is_open(const struct ringing *ringing, int input)
{
    for (int i = 0; i < ringing->count; i++)
        if (side_spot(&ringing->side, input, ringing->courses[i].mix)->open == SURE_YES)
            return true;
    return false;
}

/* Every mix, and every input that is a microphone or was rung out. */
static bool
all_open(const struct ringing *ringing)
{
    for (int i = 0; i < ringing->count; i++)
        if (!ring_sounds(ringing, ringing->courses[i].mix) ||
            (ringing->courses[i].input >= 0 && !is_open(ringing, ringing->courses[i].input)))
            return false;
    for (int input = 0; input < ringing->inputs; input++)
        if (counted_input(ringing->desk, ringing->show, input) == SURE_YES &&
            !is_open(ringing, input))
            return false;
    return true;
}

static double
most_over_db(const struct ringing *ringing)
{
    double most_db = -HUGE_VAL;

    for (int i = 0; i < ringing->count; i++)
        most_db = fmax(most_db, together_over_db(ringing, &ringing->courses[i]));
    return most_db;
}

static void
next_up_together(const struct ringing *ringing, struct ring_state *state)
{
    const struct course *rings = ringing_course(ringing);
    double fall_db = together_fall_db(ringing);

    if (fall_db > RING_AT_DB)
        next_is(state, RING_NEXT_STEP_BACK, -1, RING_BACK_DB - fall_db);
    else if (!(most_over_db(ringing) < RING_TOGETHER_MOST_DB - RING_AT_DB))
        next_is(state, RING_NEXT_STEP_BACK, -1, RING_BACK_DB);
    else if (!rings || !next_rings(ringing, rings, state))
        next_is(state, RING_NEXT_RAISE_TOGETHER, -1, NAN);
}

static void
next_push(const struct ringing *ringing, struct ring_state *state)
{
    const struct course *pushed = ringing->pushed;

    if (pushed && pushed->phase != PHASE_BACK) {
        double over_db = pushed->level_db - pushed->base_db;
        bool back = pushed->level_db < pushed->top_db - RING_AT_DB ||
                    !(over_db < RING_PUSH_MOST_DB - RING_AT_DB) || ringing_course(ringing);

        next_is(state, back ? RING_NEXT_PUT_BACK : RING_NEXT_PUSH, pushed->mix,
                back ? over_db : (double)NAN);
        return;
    }
    for (int i = 0; i < ringing->count; i++) {
        if (ringing->courses[i].pushed)
            continue;
        next_is(state, RING_NEXT_PUSH, ringing->courses[i].mix, NAN);
        return;
    }
    next_is(state, RING_NEXT_DONE, -1, NAN);
}

static void
next_together(const struct ringing *ringing, struct ring_state *state)
{
    switch (ringing->phase) {
    case PHASE_READY:
        if (!together_is_down(ringing))
            next_is(state, RING_NEXT_MASTERS_DOWN, -1, NAN);
        else if (!all_open(ringing))
            next_is(state, RING_NEXT_OPEN_ALL, -1, NAN);
        else
            next_is(state, RING_NEXT_RAISE_TOGETHER, -1, NAN);
        return;
    case PHASE_RISING:
    case PHASE_RINGING:
        next_up_together(ringing, state);
        return;
    case PHASE_BACK:
        next_push(ringing, state);
        return;
    }
}

/* ---- all of it ---- */

static void
take_next(struct ringing *ringing, struct ring_state *state)
{
    const struct course *course = ringing->course;
    const struct course *shown = course ? course : next_course(ringing);

    if (shown)
        state->ready = ring_ready_of(ringing->desk, ringing->show, shown->mix, shown->input);
    if (ringing->blind)
        next_is(state, RING_NEXT_WAIT, -1, NAN);
    else if (ringing->together)
        next_together(ringing, state);
    else if (shown)
        next_of_course(ringing, shown, state);
    else
        next_is(state, RING_NEXT_PREPARE, ringing->courses[0].mix, NAN);
}

const struct ring_state *
ringing_state(struct ringing *ringing)
{
    struct ring_state *state = &ringing->state;
    const struct course *course = ringing->together ? ringing->pushed : ringing->course;

    for (int i = 0; i < ringing->count; i++)
        ringing->of_mixes[i] = mix_state(ringing, &ringing->courses[i]);
    *state = (struct ring_state){.together = ringing->together,
                                 .mix = course ? course->mix : -1,
                                 .level_db = course ? course->level_db : (double)NAN,
                                 .mixes = ringing->of_mixes,
                                 .mix_count = ringing->count,
                                 .rings = ringing->seen,
                                 .ring_count = ringing->seen_count};
    take_next(ringing, state);
    return state;
}
