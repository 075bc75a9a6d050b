/* SPDX-License-Identifier: MIT */
/* One mix, rung out alone: what is raised, and what comes back. */
#include <math.h>
#include <stdlib.h>

#include "core/need.h"
#include "ring/parts.h"

static const double none_db = 0.05; /* a rounding, no step */

void
course_init(struct course *course, const struct ringing *ringing, int mix)
{
    *course = (struct course){.mix = mix,
                              .input = -1,
                              .knob = {.id = PARAMS},
                              .level_db = NAN,
                              .top_db = NAN,
                              .first_db = NAN,
                              .highest_db = NAN,
                              .base_db = NAN,
                              .seen = -1,
                              .rang_hz = NAN,
                              .other_band = -1,
                              .hand_band = -1};
    course->bands = need_memory((size_t)ringing->bands, sizeof *course->bands);
}

static int
loudest_input(const struct ringing *ringing, int mix)
{
    int loudest = -1;
    double db = -HUGE_VAL;

    for (int i = 0; i < ringing->inputs; i++) {
        const struct spot *spot = side_spot(&ringing->side, i, mix);

        if (spot->open == SURE_YES && spot->level_db > db) {
            db = spot->level_db;
            loudest = i;
        }
    }
    return loudest;
}

void
course_stand_in(struct ringing *ringing, struct course *course)
{
    if (course->input < 0)
        course->input = loudest_input(ringing, course->mix);
}

void
course_level(struct ringing *ringing, struct course *course)
{
    int input = course->input >= 0 ? course->input : loudest_input(ringing, course->mix);
    struct path_level level;

    if (input < 0 || !path_level_on(ringing->desk, input, course->mix, &level))
        return;
    if (level.sum_db > -HUGE_VAL) /* closed by its mute it still tells where it stands */
        course->level_db = level.sum_db;
}

static void
take_bands(struct ringing *ringing, struct course *course)
{
    int graphic = desk_count(ringing->desk, INDEX_MIX_GRAPHIC_BAND);

    for (int band = 0; band < ringing->bands; band++) {
        enum param_id id = band < graphic ? PARAM_MIX_GRAPHIC_BAND_GAIN : PARAM_MIX_EQ_BAND_GAIN;
        int column = band < graphic ? band : band - graphic;

        course->bands[band].began_db =
            value_number(desk_value(ringing->desk, id, course->mix, column));
    }
}

void
course_begin(struct ringing *ringing, struct course *course)
{
    if (ringing->course && ringing->course != course)
        course_leave(ringing, ringing->course);
    ringing->course = course;
    ringing->unclear = true;
    if (course->phase == PHASE_READY)
        take_bands(ringing, course);
    course->knob.id = PARAMS;
    course_level(ringing, course);
    ring_tell(ringing, ring_made(ringing, RING_MIX, course->mix, course->input));
}

/* ---- what is said when it is first raised ---- */

static void
say_item(struct ringing *ringing, const struct course *course, const struct ring_ready *ready,
         enum ring_item item, enum ring_kind kind)
{
    int input = item == RING_READY_OTHERS ? ready->of[item].input : course->input;
    struct ring_event event = ring_made(ringing, kind, course->mix, input);

    event.db = ready->of[item].db;
    if (ready->of[item].ready == SURE_NO)
        ring_tell(ringing, event);
}

/* Whoever raises the send or the master has the preamp where its player needs it, and the other way
 * round. True: the step itself is where it starts too high. */
static bool
say_unready(struct ringing *ringing, const struct course *course, const struct ring_move *move)
{
    struct ring_ready ready =
        ring_ready_of(ringing->desk, ringing->show, course->mix, course->input);
    bool high = move->knob.id == PARAM_INPUT_PREAMP_GAIN &&
                ready.of[RING_READY_PREAMP].db >= RING_STARTS_HIGH_DB;

    if (course_is_anothers(ringing, course)) {
        ring_tell(ringing, ring_made(ringing, RING_OTHER_OPEN, course->mix, course->input));
        return false;
    }
    if (high)
        say_item(ringing, course, &ready, RING_READY_PREAMP, RING_STARTS_HIGH);
    if (move->knob.id != PARAM_SEND_LEVEL)
        say_item(ringing, course, &ready, RING_READY_OWN_SEND, RING_OWN_SEND);
    if (move->knob.id != PARAM_MIX_FADER)
        say_item(ringing, course, &ready, RING_READY_MASTER, RING_MASTER_OFF_UNITY);
    say_item(ringing, course, &ready, RING_READY_OTHERS, RING_OTHER_OPEN);
    say_item(ringing, course, &ready, RING_READY_HIGH_PASS, RING_HIGH_PASS_OFF);
    say_item(ringing, course, &ready, RING_READY_FLAT, RING_NOT_FLAT);
    return high;
}

/* ---- up ---- */

static void
forget_old(struct rise *rise, int64_t now_ms)
{
    int old = 0;

    while (old < rise->count && rise->at_ms[old] <= now_ms - RING_FAST_MS)
        old++;
    if (rise->count - old == RISE_STEPS) { /* the two oldest as one, at the later time */
        rise->db[old + 1] += rise->db[old];
        old++;
    }
    rise->count -= old;
    for (int i = 0; i < rise->count; i++) {
        rise->at_ms[i] = rise->at_ms[i + old];
        rise->db[i] = rise->db[i + old];
    }
}

void
course_fast(struct ringing *ringing, struct course *course, double db)
{
    struct rise *rise = &course->rise;
    struct ring_event event = ring_made(ringing, RING_FAST, course->mix, course->input);

    forget_old(rise, ringing->now_ms);
    rise->at_ms[rise->count] = ringing->now_ms;
    rise->db[rise->count++] = db;
    event.db = 0;
    for (int i = 0; i < rise->count; i++)
        event.db += rise->db[i];
    if (event.db > RING_FAST_DB + none_db)
        ring_tell(ringing, event);
}

/* Whoever goes on up with the same control has heard nothing until now. */
static void
prove(struct ringing *ringing, struct course *course, const struct knob *knob)
{
    bool same = course->knob.id == PARAMS || knob_is(&course->knob, knob);

    if (same && stood_desk(&ringing->stood, ringing->now_ms))
        keep_ceiling(ringing, course);
    else if (!same)
        ringing->unclear = true;
    course->knob = *knob;
}

static double
preamp_db(const struct desk *desk, int input)
{
    return value_number(desk_value(desk, PARAM_INPUT_PREAMP_GAIN, input, 0));
}

/* Its preamp came down since the desk was read, and its path stands no higher than it did then. */
static bool
was_as_loud(const struct ringing *ringing, int input, int mix, double level_db)
{
    struct path_level was;

    return side_open(ringing->began, input, mix) == SURE_YES &&
           path_level_on(ringing->began, input, mix, &was) && level_db <= was.sum_db &&
           preamp_db(ringing->desk, input) < preamp_db(ringing->began, input) - none_db;
}

/* It stands no higher than where the book begins: the preamp at its lowest, all else at 0. */
static bool
is_below_all(const struct ringing *ringing, double level_db)
{
    return level_db <= desk_travel(ringing->desk, PARAM_INPUT_PREAMP_GAIN).least + 0.5;
}

static bool
is_closed(const struct ringing *ringing, const struct course *course)
{
    return course->input >= 0 &&
           side_spot(&ringing->side, course->input, course->mix)->open == SURE_NO;
}

bool
course_is_anothers(const struct ringing *ringing, const struct course *course)
{
    int own = ringing_own(ringing, course->mix);

    return own >= 0 && own != course->input && course->rings == 0;
}

bool
course_sets_up(const struct ringing *ringing, const struct course *course,
               const struct touched *path, const struct ring_move *move)
{
    double level_db = side_spot(&ringing->side, path->input, path->mix)->level_db;
    bool to_mark =
        move->to <= 0.5 && (move->knob.id == PARAM_SEND_LEVEL || move->knob.id == PARAM_MIX_FADER);

    if ((course->phase != PHASE_READY && !is_closed(ringing, course)) ||
        move->knob.id == PARAM_INPUT_PREAMP_GAIN)
        return false;
    return is_below_all(ringing, level_db) ||
           (to_mark && was_as_loud(ringing, path->input, path->mix, level_db));
}

void
course_take(struct ringing *ringing, struct course *course, int input)
{
    bool closed = is_closed(ringing, course);

    if (closed && course->phase != PHASE_READY) { /* what it rang at tells nothing of another one */
        if (course->rings > 0)
            course_leave(ringing, course);
        course->phase = course->rings > 0 ? PHASE_BACK : PHASE_READY;
        course->raised = false;
        course->knob.id = PARAMS;
        course->top_db = NAN;
        course->rise.count = 0;
    }
    if (course->input < 0 || closed || course->phase == PHASE_READY)
        course->input = input;
}

/* It was stepped back, and moves well below what rang: as it is closed, opened and set for another mix. */
static bool
stays_back(const struct course *course)
{
    return course->phase == PHASE_BACK && course->level_db <= course->top_db - RING_BACK_LEAST_DB;
}

static void
rise(struct ringing *ringing, struct course *course, double db)
{
    struct ring_event event = ring_made(ringing, RING_RISE, course->mix, course->input);

    course->phase = PHASE_RISING;
    course->raised = true;
    course->back = course->voice = false;
    event.db = course->level_db - db;
    ring_tell(ringing, event);
}

void
course_push(struct ringing *ringing, struct course *course, const struct ring_move *move, double db)
{
    bool high = false;

    course_level(ringing, course);
    if (stays_back(course)) {
        ringing->unclear = true;
        return;
    }
    if (course->phase == PHASE_READY)
        high = say_unready(ringing, course, move);
    if (course->phase != PHASE_RISING)
        rise(ringing, course, db);
    course->top_db = fmax(course->top_db, course->level_db);
    prove(ringing, course, &move->knob);
    if (!isnan(course->first_db))
        course->highest_db = fmax(course->highest_db, course->level_db);
    if (high)
        course->rise.count = 0;
    else
        course_fast(ringing, course, db);
}

/* ---- down ---- */

static void
say_last_push(struct ringing *ringing, struct course *course)
{
    struct ring_event event = ring_made(ringing, RING_LAST_PUSH, course->mix, course->input);

    course->rings++;
    if (!isnan(course->first_db))
        event.won_db = fmax(course->highest_db, course->first_db) - course->first_db;
    ring_tell(ringing, event);
}

static void
say_step_back(struct ringing *ringing, struct course *course, double fall_db)
{
    struct ring_event event = ring_made(ringing, RING_STEP_BACK, course->mix, course->input);

    event.db = fall_db;
    course->back = true;
    course->stand_db = value_number(desk_value(ringing->desk, PARAM_MIX_FADER, course->mix, 0));
    ring_tell(ringing, event);
}

void
course_lower(struct ringing *ringing, struct course *course)
{
    double fall_db;

    course_level(ringing, course);
    course->rise.count = 0;
    fall_db = course->top_db - course->level_db;
    if (course->phase == PHASE_READY || course_is_anothers(ringing, course) ||
        !(fall_db > RING_BACK_LEAST_DB - RING_AT_DB))
        return;
    if (course->phase == PHASE_RISING)
        say_last_push(ringing, course);
    if (course->phase != PHASE_BACK)
        course->back_ms = ringing->now_ms;
    course->phase = PHASE_BACK;
    if (!course->back && fall_db > RING_BACK_DB - RING_AT_DB)
        say_step_back(ringing, course, fall_db);
}

void
course_settle(struct ringing *ringing, struct course *course)
{
    say_step_back(ringing, course, course->top_db - course->level_db);
}

void
course_leave(struct ringing *ringing, struct course *course)
{
    double fall_db = course->top_db - course->level_db;
    struct ring_event event = ring_made(ringing, RING_NO_STEP_BACK, course->mix, course->input);

    event.db = fmax(0, fall_db);
    if (course->raised && !(fall_db > RING_BACK_LEAST_DB - RING_AT_DB))
        ring_tell(ringing, event);
    else if (course->raised && !course->back)
        say_step_back(ringing, course, fall_db);
    course->raised = false;
}
