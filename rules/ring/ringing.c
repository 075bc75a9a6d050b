/* SPDX-License-Identifier: MIT */
#include "ring/ringing.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "core/need.h"
#include "ring/parts.h"

enum { SETTLES_MS = 2000, VOICE_AFTER_MS = 3000 };

/* A voice at the microphone, of a preamp that serves it (common practice, no source). */
static const double voice_db = -36;

/* ---- beginning and end ---- */

static void
take_desk(struct ringing *ringing)
{
    struct side *side = &ringing->side;

    desk_free(ringing->desk);
    desk_free(ringing->began);
    ringing->desk = desk_copy(ringing->live);
    ringing->began = desk_copy(ringing->live);
    side->desk = ringing->desk;
    for (int input = 0; input < ringing->inputs; input++)
        for (int mix = 0; mix < ringing->mixes; mix++)
            side_take_spot(side, input, mix);
    stood_begin(&ringing->stood, ringing->desk, ringing->now_ms);
    for (int i = 0; i < ringing->count; i++) {
        struct course *course = &ringing->courses[i];

        course_level(ringing, course);
        course->speech_known = false;
    }
    keep_renew(ringing);
}

static void
count_desk(struct ringing *ringing)
{
    size_t paths;

    ringing->inputs = desk_count(ringing->live, INDEX_INPUT);
    ringing->mixes = desk_count(ringing->live, INDEX_MIX);
    ringing->bands = desk_count(ringing->live, INDEX_MIX_GRAPHIC_BAND) +
                     desk_count(ringing->live, INDEX_MIX_EQ_BAND);
    paths = (size_t)ringing->inputs * (size_t)ringing->mixes;
    ringing->side.inputs = ringing->inputs;
    ringing->side.mixes = ringing->mixes;
    ringing->side.spots = need_memory(paths, sizeof *ringing->side.spots);
    ringing->touched = need_memory(paths, sizeof *ringing->touched);
}

struct ringing *
ringing_new(const struct desk *desk, const struct show *show, const int *mixes, int count,
            bool together, int64_t now_ms)
{
    struct ringing *ringing = need_memory(1, sizeof *ringing);

    assert(count > 0);
    ringing->live = desk;
    ringing->show = show;
    ringing->count = count;
    ringing->wants_together = together;
    ringing->now_ms = now_ms;
    ringing->hand_ms = INT64_MIN;
    count_desk(ringing);
    ringing->courses = need_memory((size_t)count, sizeof *ringing->courses);
    ringing->of_mixes = need_memory((size_t)count, sizeof *ringing->of_mixes);
    keep_init(ringing);
    for (int i = 0; i < count; i++)
        course_init(&ringing->courses[i], ringing, mixes[i]);
    take_desk(ringing);
    ringing_find_own(ringing);
    move_look_around(ringing, NULL);
    return ringing;
}

void
ringing_free(struct ringing *ringing)
{
    if (!ringing)
        return;
    keep_release(ringing);
    stood_release(&ringing->stood);
    for (int i = 0; i < ringing->count; i++)
        free(ringing->courses[i].bands);
    desk_free(ringing->desk);
    desk_free(ringing->began);
    free(ringing->side.spots);
    free(ringing->touched);
    free(ringing->courses);
    free(ringing->of_mixes);
    free(ringing);
}

void
ringing_end(struct ringing *ringing, int64_t now_ms)
{
    ringing_passed(ringing, now_ms);
    if (ringing->together)
        together_end(ringing);
    else if (ringing->course)
        course_leave(ringing, ringing->course);
    if (!ringing->blind && ringing->kept.ceiling_count > 0)
        keep_left(ringing);
}

/* ---- a move ---- */

static void
take_label(struct ringing *ringing, enum param_id id, int row, int column)
{
    stood_moved(&ringing->stood, ringing->desk, id, row, column, ringing->now_ms);
    for (int i = 0; i < ringing->count; i++)
        if (ringing->courses[i].phase == PHASE_READY)
            ringing->courses[i].input = -1;
    ringing_find_own(ringing);
}

static void
take_value(struct ringing *ringing, enum param_id id, int row, int column)
{
    struct ring_move move = {.knob = {id, row, column}, .at_ms = ringing->now_ms};
    enum value_state state = desk_value(ringing->desk, id, row, column)->state;

    move.from = value_number(desk_value(ringing->desk, id, row, column));
    desk_carry_value(ringing->desk, ringing->live, id, row, column);
    move.to = value_number(desk_value(ringing->desk, id, row, column));
    if (ringing->proof)
        proof_moved(ringing->proof, id, row, column);
    if (params[id].unit == UNIT_TEXT) {
        take_label(ringing, id, row, column);
        return;
    }
    if (move.from == move.to && state == desk_value(ringing->desk, id, row, column)->state)
        return;
    move_judge(ringing, &move);
    if (ringing->unclear)
        stood_begin(&ringing->stood, ringing->desk, ringing->now_ms);
    else
        stood_moved(&ringing->stood, ringing->desk, id, row, column, ringing->now_ms);
}

/* ---- a voice ---- */

static void
hear(struct ringing *ringing, int input)
{
    struct course *course = ringing->course;

    if (!course || course->phase != PHASE_BACK || course->voice || course->input != input ||
        ringing->now_ms < course->back_ms + VOICE_AFTER_MS ||
        !(value_number(desk_value(ringing->live, PARAM_INPUT_LEVEL, input, 0)) > voice_db))
        return;
    course->voice = true;
    ring_tell(ringing, ring_made(ringing, RING_VOICE, course->mix, input));
}

/* ---- what is told ---- */

void
ringing_moved(struct ringing *ringing, enum param_id id, int row, int column, int64_t now_ms)
{
    ringing_passed(ringing, now_ms);
    if (ringing->blind)
        return;
    if (id == PARAM_INPUT_LEVEL)
        hear(ringing, row);
    else if (params[id].class != DIFFERENCE_METER)
        take_value(ringing, id, row, column);
}

void
ringing_heard(struct ringing *ringing, int mix, const struct heard_thirds *heard)
{
    struct course *course = ring_course_of(ringing, mix);

    if (course)
        course->heard = *heard;
}

/* A step back that is less than the book's, and stays so. */
void
ringing_passed(struct ringing *ringing, int64_t now_ms)
{
    struct course *course = ringing->course;

    ringing->now_ms = now_ms > ringing->now_ms ? now_ms : ringing->now_ms;
    if (course && !ringing->blind && course->phase == PHASE_BACK && !course->back &&
        !isnan(course->top_db) && ringing->now_ms > course->back_ms + SETTLES_MS)
        course_settle(ringing, course);
}

void
ringing_unseen(struct ringing *ringing, int64_t now_ms)
{
    ringing_passed(ringing, now_ms);
    stood_begin(&ringing->stood, ringing->desk, ringing->now_ms);
}

static void
be_blind(struct ringing *ringing, enum ring_kind kind, int64_t now_ms)
{
    ringing_passed(ringing, now_ms);
    if (kind == RING_RECALL || !ringing->blind)
        ring_tell(ringing, ring_made(ringing, kind, -1, -1));
    ringing->blind = true;
}

void
ringing_lost(struct ringing *ringing, int64_t now_ms)
{
    be_blind(ringing, RING_LOST, now_ms);
}

void
ringing_recalled(struct ringing *ringing, int64_t now_ms)
{
    be_blind(ringing, RING_RECALL, now_ms);
}

void
ringing_back(struct ringing *ringing, int64_t now_ms)
{
    ringing_passed(ringing, now_ms);
    ring_tell(ringing, ring_made(ringing, RING_BACK, -1, -1));
}

/* What was raised before is not known to stand so any more: nothing that comes down is a ring, and
 * nothing is asked back. */
void
ringing_reread(struct ringing *ringing, int64_t now_ms)
{
    ringing_passed(ringing, now_ms);
    ringing->blind = false;
    take_desk(ringing);
    for (int i = 0; i < ringing->count; i++) {
        struct course *course = &ringing->courses[i];

        if (course->phase != PHASE_READY)
            course->phase = PHASE_BACK;
        course->raised = false;
        course->top_db = NAN;
        course->knob.id = PARAMS;
        course->rise.count = 0;
    }
    if (ringing->together)
        ringing->phase = PHASE_READY;
    move_look_around(ringing, NULL);
}

const struct proofs *
ringing_proofs(const struct ringing *ringing)
{
    return &ringing->kept;
}
