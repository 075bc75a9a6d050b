/* SPDX-License-Identifier: MIT */
/* All microphones and mixes open: up together from 12 dB down, back, and then each mix alone. */
#include <math.h>

#include "ring/parts.h"

void
together_begin(struct ringing *ringing)
{
    if (ringing->course)
        course_leave(ringing, ringing->course);
    ringing->course = NULL;
    ringing->pushed = NULL;
    ringing->together = true;
    ringing->phase = PHASE_READY;
    ringing->unclear = true;
    for (int i = 0; i < ringing->count; i++) {
        ringing->courses[i].phase = PHASE_BACK;
        ringing->courses[i].knob.id = PARAMS;
        ringing->courses[i].rise.count = 0;
        ringing->courses[i].top_db = NAN;
        course_stand_in(ringing, &ringing->courses[i]);
        course_level(ringing, &ringing->courses[i]);
    }
    ring_tell(ringing, ring_made(ringing, RING_TOGETHER, -1, -1));
}

double
together_over_db(const struct ringing *ringing, const struct course *course)
{
    return value_number(desk_value(ringing->desk, PARAM_MIX_FADER, course->mix, 0)) -
           course->stand_db;
}

bool
together_is_down(const struct ringing *ringing)
{
    for (int i = 0; i < ringing->count; i++)
        if (!(together_over_db(ringing, &ringing->courses[i]) <= 0.5 - RING_MASTERS_DOWN_DB))
            return false;
    return true;
}

/* From where all goes up: what single proofs cover is no place to begin. */
static void
say_high(struct ringing *ringing, const struct course *course)
{
    struct ring_event event = ring_made(ringing, RING_TOGETHER_HIGH, course->mix, -1);

    event.db = together_over_db(ringing, course) + RING_MASTERS_DOWN_DB;
    if (ringing->phase == PHASE_READY && event.db > 1 + RING_AT_DB &&
        ring_sounds(ringing, course->mix))
        ring_tell(ringing, event);
}

/* Masters come down one after another: one that opens tells of itself alone. */
void
together_opened(struct ringing *ringing, int mix)
{
    for (int i = 0; i < ringing->count; i++)
        if (mix < 0 || ringing->courses[i].mix == mix)
            say_high(ringing, &ringing->courses[i]);
}

double
together_fall_db(const struct ringing *ringing)
{
    double least_db = HUGE_VAL;

    for (int i = 0; i < ringing->count; i++) {
        const struct course *course = &ringing->courses[i];

        if (!isnan(course->top_db))
            least_db = fmin(least_db, course->top_db - course->level_db);
    }
    return least_db == HUGE_VAL ? (double)NAN : least_db;
}

/* ---- up ---- */

static void
say_far(struct ringing *ringing, const struct course *course, double db, double most_db)
{
    struct ring_event event = ring_made(ringing, RING_PUSHED_FAR, course->mix, course->input);

    event.db = db;
    if (db > most_db + RING_AT_DB)
        ring_tell(ringing, event);
}

/* It is the masters that go up together; one that goes to where it begins is set up. */
static bool
sets_up(const struct ringing *ringing, const struct course *course, const struct ring_move *move)
{
    return move->knob.id != PARAM_MIX_FADER ||
           (ringing->phase == PHASE_READY &&
            together_over_db(ringing, course) <= RING_AT_DB - RING_MASTERS_DOWN_DB);
}

static void
rise_all(struct ringing *ringing, struct course *course, double db)
{
    together_opened(ringing, -1);
    if (ringing->phase != PHASE_RISING)
        ring_tell(ringing, ring_made(ringing, RING_RISE, -1, -1));
    ringing->phase = PHASE_RISING;
    course->top_db = fmax(course->top_db, course->level_db);
    if (stood_desk(&ringing->stood, ringing->now_ms))
        keep_ceiling(ringing, course);
    say_far(ringing, course, together_over_db(ringing, course), RING_TOGETHER_MOST_DB);
    course_fast(ringing, course, db);
}

static void
begin_push(struct ringing *ringing, struct course *course, double db)
{
    struct ring_event not_back = ring_made(ringing, RING_NOT_PUT_BACK, -1, -1);
    struct ring_event rise = ring_made(ringing, RING_RISE, course->mix, course->input);

    if (ringing->pushed && ringing->pushed->phase != PHASE_BACK) {
        not_back.mix = ringing->pushed->mix;
        not_back.db = ringing->pushed->level_db - ringing->pushed->base_db;
        ring_tell(ringing, not_back);
        ringing->pushed->phase = PHASE_BACK;
    }
    ringing->pushed = course;
    course->base_db = course->level_db - db;
    course->top_db = course->level_db;
    course->pushed = true;
    rise.db = course->base_db;
    ring_tell(ringing, rise);
}

static void
push_one(struct ringing *ringing, struct course *course, const struct ring_move *move, double db)
{
    if (ringing->pushed != course || course->phase == PHASE_BACK)
        begin_push(ringing, course, db);
    else
        course->top_db = fmax(course->top_db, course->level_db);
    if (course->phase == PHASE_RISING && !knob_is(&course->knob, &move->knob))
        ringing->unclear = true;
    else if (stood_desk(&ringing->stood, ringing->now_ms))
        keep_ceiling(ringing, course);
    course->phase = PHASE_RISING;
    course->knob = move->knob;
    say_far(ringing, course, course->level_db - course->base_db, RING_PUSH_MOST_DB);
    course_fast(ringing, course, db);
}

void
together_push(struct ringing *ringing, struct course *course, const struct ring_move *move,
              double db)
{
    course_level(ringing, course);
    if (ringing->phase == PHASE_BACK)
        push_one(ringing, course, move, db);
    else if (sets_up(ringing, course, move))
        ringing->unclear = true;
    else
        rise_all(ringing, course, db);
}

/* ---- down ---- */

static void
lower_all(struct ringing *ringing)
{
    double fall_db = together_fall_db(ringing);
    struct ring_event event = ring_made(ringing, RING_STEP_BACK, -1, -1);

    if (ringing->phase == PHASE_READY || !(fall_db > RING_BACK_DB - RING_AT_DB))
        return;
    if (ringing->phase == PHASE_RISING)
        ring_tell(ringing, ring_made(ringing, RING_LAST_PUSH, -1, -1));
    ringing->phase = PHASE_BACK;
    event.db = fall_db;
    ring_tell(ringing, event);
}

static void
lower_one(struct ringing *ringing, struct course *course)
{
    if (ringing->pushed != course || course->phase == PHASE_BACK ||
        course->level_db > course->base_db + RING_AT_DB)
        return;
    course->phase = PHASE_BACK;
    ring_tell(ringing, ring_made(ringing, RING_PUT_BACK, course->mix, course->input));
}

void
together_lower(struct ringing *ringing, struct course *course)
{
    course_level(ringing, course);
    course->rise.count = 0;
    if (ringing->phase == PHASE_BACK)
        lower_one(ringing, course);
    else
        lower_all(ringing);
}

void
together_end(struct ringing *ringing)
{
    double fall_db = together_fall_db(ringing);
    struct ring_event event = ring_made(ringing, RING_NO_STEP_BACK, -1, -1);

    if (ringing->phase == PHASE_RISING || ringing->phase == PHASE_RINGING) {
        event.db = fmax(0, fall_db);
        if (!(fall_db > RING_BACK_LEAST_DB - RING_AT_DB))
            ring_tell(ringing, event);
    } else if (ringing->pushed && ringing->pushed->phase != PHASE_BACK) {
        event = ring_made(ringing, RING_NOT_PUT_BACK, ringing->pushed->mix, -1);
        event.db = ringing->pushed->level_db - ringing->pushed->base_db;
        ring_tell(ringing, event);
    }
}
