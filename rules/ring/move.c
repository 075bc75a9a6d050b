/* SPDX-License-Identifier: MIT */
/* What a move is: of the mix at work, of the next one, of all together, or another hand's. */
#include <math.h>

#include "proof/counted.h"
#include "proof/reads.h"
#include "ring/parts.h"

enum { HAND_AGAIN_MS = 2000 };

/* ---- which mix, or all ---- */

/* Between the first step up and the step back the mix at work is the only one whose moves are the
 * ring-out's. */
static bool
is_under_way(const struct ringing *ringing)
{
    const struct course *course = ringing->course;

    return course && (course->phase == PHASE_RISING || course->phase == PHASE_RINGING) &&
           course->input >= 0 && !course_is_anothers(ringing, course) &&
           side_spot(&ringing->side, course->input, course->mix)->open != SURE_NO;
}

/* Where the one at work was closed before anything rang, it was set up. */
static bool
all_were_raised(const struct ringing *ringing)
{
    const struct course *last = ringing->course;

    for (int i = 0; i < ringing->count; i++)
        if (ringing->courses[i].phase == PHASE_READY)
            return false;
    return !last || last->phase != PHASE_RISING || last->rings > 0;
}

static bool
sounds_anywhere(const struct ringing *ringing, int input)
{
    for (int mix = 0; mix < ringing->mixes; mix++)
        if (side_spot(&ringing->side, input, mix)->open != SURE_NO)
            return true;
    return false;
}

static int
open_microphones(const struct ringing *ringing)
{
    int count = 0;

    for (int input = 0; input < ringing->inputs; input++)
        count += sounds_anywhere(ringing, input) &&
                 counted_input(ringing->desk, ringing->show, input) != SURE_NO;
    return count;
}

static bool
opened(const struct ringing *ringing)
{
    for (int i = 0; i < ringing->touched_count; i++)
        if (ringing->touched[i].way == WAY_OPENED)
            return true;
    return false;
}

/* Wedges may stay up all the while: it is no sign that all is to go on together. That a mix opens is,
 * or another microphone beside the one that is, or all masters 12 dB down. `move`: NULL: the desk was
 * read anew. */
static bool
goes_on_together(const struct ringing *ringing, const struct ring_move *move)
{
    const struct course *only = &ringing->courses[0];

    if (ringing->count == 1)
        return only->input >= 0 && ring_other_open(ringing, only->mix, only->input) >= 0;
    if (together_is_down(ringing))
        return true;
    if (move && !opened(ringing))
        return false;
    return (move && params[move->knob.id].row == INDEX_MIX) || open_microphones(ringing) > 1;
}

void
move_look_around(struct ringing *ringing, const struct ring_move *move)
{
    struct course *only = NULL;
    int sounding = 0;

    for (int i = 0; i < ringing->count; i++) {
        if (!ring_sounds(ringing, ringing->courses[i].mix))
            continue;
        only = &ringing->courses[i];
        sounding++;
    }
    if (is_under_way(ringing))
        return;
    if (!ringing->together && ringing->wants_together && all_were_raised(ringing) &&
        (sounding > 1 || ringing->count == 1) && goes_on_together(ringing, move))
        together_begin(ringing);
    else if (!ringing->together && sounding == 1 && only != ringing->course)
        course_begin(ringing, only);
}

/* ---- a move ---- */

static void
say_hand(struct ringing *ringing, int mix, int input)
{
    ringing->unclear = true;
    if (ringing->hand_ms > ringing->now_ms - HAND_AGAIN_MS && ringing->said[RING_HAND])
        return;
    ringing->hand_ms = ringing->now_ms;
    ring_tell(ringing, ring_made(ringing, RING_HAND, mix, input));
}

static const struct touched *
raised(const struct ringing *ringing)
{
    for (int i = 0; i < ringing->touched_count; i++)
        if (ringing->touched[i].way == WAY_UP || ringing->touched[i].way == WAY_OPENED)
            return &ringing->touched[i];
    return NULL;
}

/* The path a course is rung out by, as the move left it; NULL: the move left it alone. */
static const struct touched *
own_path(const struct ringing *ringing, const struct course *course)
{
    return course->input < 0 ? NULL : touch_of(ringing, course->mix, course->input);
}

static void
move_under_way(struct ringing *ringing, const struct ring_move *move)
{
    struct course *course = ringing->course;
    const struct touched *own = own_path(ringing, course), *other = raised(ringing);

    if (own && own->way == WAY_UP) {
        course_push(ringing, course, move, own->db);
        return;
    }
    ringing->unclear = true;
    if (own && own->way == WAY_DOWN)
        course_lower(ringing, course);
    else if (!own && other)
        say_hand(ringing, other->mix, other->input);
}

/* How much speaks for it that the step up is for that mix: most that its own microphone is raised,
 * less that nobody knows which is its own; then that it was at work last, for who goes on to the next
 * one may leave this one's master up. */
static int
rank(const struct ringing *ringing, const struct touched *touched)
{
    const struct course *course = ring_course_of(ringing, touched->mix);
    int own;

    if (!course || touched->way != WAY_UP)
        return 0;
    own = course->input == touched->input ? 2 : course->input < 0;
    return 1 + (course == ringing->course) + 2 * own;
}

static bool
is_louder(const struct ringing *ringing, const struct touched *one, const struct touched *other)
{
    return side_spot(&ringing->side, one->input, one->mix)->level_db >
           side_spot(&ringing->side, other->input, other->mix)->level_db;
}

/* The path that was raised on purpose: of those for which as much speaks the loudest. NULL: none. */
static const struct touched *
raised_path(const struct ringing *ringing)
{
    const struct touched *found = NULL;
    int best = 0;

    for (int i = 0; i < ringing->touched_count; i++) {
        const struct touched *touched = &ringing->touched[i];
        int speaks = rank(ringing, touched);

        if (speaks > best || (found && speaks == best && is_louder(ringing, touched, found))) {
            best = speaks;
            found = touched;
        }
    }
    return found;
}

static void
move_between(struct ringing *ringing, const struct ring_move *move)
{
    const struct touched *path = raised_path(ringing);
    struct course *course = path ? ring_course_of(ringing, path->mix) : NULL;

    if (!course) {
        ringing->unclear = true;
        course = ringing->course;
        path = course ? own_path(ringing, course) : NULL;
        if (path && path->way == WAY_DOWN)
            course_lower(ringing, course);
        return;
    }
    if (course != ringing->course)
        course_begin(ringing, course);
    if (course_sets_up(ringing, course, path, move)) {
        ringing->unclear = true;
        course_level(ringing, course);
        return;
    }
    course_take(ringing, course, path->input);
    course_push(ringing, course, move, path->db);
}

static void
move_together(struct ringing *ringing, const struct ring_move *move)
{
    const struct touched *first = ringing->touched;
    struct course *course = ring_course_of(ringing, first->mix);
    bool one = true;

    for (int i = 1; i < ringing->touched_count; i++)
        one &= ringing->touched[i].mix == first->mix;
    if (one && course && first->way == WAY_UP) {
        together_push(ringing, course, move, first->db);
        return;
    }
    ringing->unclear = true;
    if (one && course && first->way == WAY_DOWN)
        together_lower(ringing, course);
    else if (first->way == WAY_OPENED)
        together_opened(ringing, params[move->knob.id].row == INDEX_MIX ? first->mix : -1);
    else if (first->way == WAY_UP && ringing->phase != PHASE_READY)
        say_hand(ringing, first->mix, first->input);
}

static bool
is_read(enum param_id id)
{
    static const enum param_id reads[] = {PROOF_READS, PARAMS};
    const enum param_id *at = reads;

    while (*at != PARAMS && *at != id)
        at++;
    return *at == id;
}

/* Something passes there; of a desk, or a group, nobody asks. */
static bool
passes(const struct ringing *ringing, const struct knob *knob)
{
    if (params[knob->id].row == INDEX_INPUT)
        return sounds_anywhere(ringing, knob->row);
    return params[knob->id].row != INDEX_MIX || ring_sounds(ringing, knob->row);
}

/* A filter, a gate, a tap: whose it is. */
static void
move_else(struct ringing *ringing, const struct ring_move *move)
{
    const struct course *course = ringing->course;
    const struct param *param = &params[move->knob.id];
    bool of_input = param->row == INDEX_INPUT, foreign = false;

    if (!is_read(move->knob.id) || !passes(ringing, &move->knob))
        return;
    ringing->unclear = true;
    if (course && (of_input || param->row == INDEX_MIX))
        foreign = (of_input ? course->input : course->mix) != move->knob.row;
    if (!ringing->together && is_under_way(ringing) && foreign)
        say_hand(ringing, of_input ? -1 : move->knob.row, of_input ? move->knob.row : -1);
}

static void
move_band(struct ringing *ringing, const struct ring_move *move)
{
    struct course *course = ring_course_of(ringing, move->knob.row);
    bool all = ringing->together && ringing->phase != PHASE_BACK;

    if (course && (ringing->together || course == ringing->course))
        cut_band(ringing, course, all ? &ringing->phase : &course->phase, move);
    else
        move_else(ringing, move);
    if (course)
        course->speech_known = false;
}

/* What goes up there is not known: it will prove nothing. */
static void
say_not_known(struct ringing *ringing, const struct ring_move *move)
{
    for (int i = 0; i < ringing->touched_count && move->to > move->from; i++) {
        const struct touched *touched = &ringing->touched[i];

        if (touched->way == WAY_UNCLEAR && ring_course_of(ringing, touched->mix))
            ring_tell(ringing, ring_made(ringing, RING_NOT_KNOWN, touched->mix, touched->input));
    }
}

void
move_judge(struct ringing *ringing, const struct ring_move *move)
{
    ringing->unclear = is_read(move->knob.id) && (isnan(move->from) || isnan(move->to));
    touch_find(ringing, move);
    if (ringing->touched_count > 0)
        ringing_find_own(ringing);
    say_not_known(ringing, move);
    if (cut_is_band(move->knob.id))
        move_band(ringing, move);
    else if (ringing->touched_count == 0)
        move_else(ringing, move);
    else if (ringing->together)
        move_together(ringing, move);
    else if (is_under_way(ringing))
        move_under_way(ringing, move);
    else
        move_between(ringing, move);
    move_look_around(ringing, move);
}
