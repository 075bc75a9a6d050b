/* SPDX-License-Identifier: MIT */
#include "ring/ringing.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "core/need.h"
#include "desk/label.h"
#include "desk/player.h"
#include "proof/counted.h"
#include "proof/reads.h"
#include "ring/parts.h"

enum { SETTLES_MS = 2000, HAND_AGAIN_MS = 2000, VOICE_AFTER_MS = 3000 };

/* A voice at the microphone, of a preamp that serves it (common practice, no source). */
static const double voice_db = -36;

/* ---- events ---- */

struct ring_event
ring_made(const struct ringing *ringing, enum ring_kind kind, int mix, int input)
{
    return (struct ring_event){.kind = kind,
                               .at_ms = ringing->now_ms,
                               .mix = mix,
                               .input = input,
                               .hz = NAN,
                               .other_hz = NAN,
                               .db = NAN,
                               .won_db = NAN};
}

static bool
is_told_once(enum ring_kind kind)
{
    return kind == RING_GATE || kind == RING_NOT_KNOWN ||
           (ring_kind_weight(kind) != RING_SEEN && kind != RING_LOST && kind != RING_RECALL);
}

/* Where nobody takes them the oldest go. */
void
ring_tell(struct ringing *ringing, struct ring_event event)
{
    if (is_told_once(event.kind) && ringing->said[event.kind])
        return;
    ringing->said[event.kind] = true;
    if (ringing->event_count == RING_EVENTS_ROOM) {
        ringing->first_event = (ringing->first_event + 1) % RING_EVENTS_ROOM;
        ringing->event_count--;
    }
    ringing->events[(ringing->first_event + ringing->event_count++) % RING_EVENTS_ROOM] = event;
}

bool
ringing_event(struct ringing *ringing, struct ring_event *event)
{
    if (ringing->event_count == 0)
        return false;
    *event = ringing->events[ringing->first_event];
    ringing->first_event = (ringing->first_event + 1) % RING_EVENTS_ROOM;
    ringing->event_count--;
    return true;
}

/* ---- beginning and end ---- */

static bool
plays(const struct ringing *ringing, int input, const char *player)
{
    const char *named = ringing->show->inputs[input].player;

    if (counted_input(ringing->desk, ringing->show, input) == SURE_NO)
        return false;
    return label_equal(*named ? named : desk_text(ringing->desk, PARAM_INPUT_NAME, input, 0),
                       player);
}

/* The microphone of the mix's player; -1: none, or several. */
static int
own_input(const struct ringing *ringing, int mix)
{
    char player[SHOW_NAME_SIZE];
    int own = -1;

    player_of_mix(ringing->desk, ringing->show, mix, player);
    for (int input = 0; *player && input < ringing->inputs; input++) {
        if (!plays(ringing, input, player))
            continue;
        if (own >= 0)
            return -1;
        own = input;
    }
    return own;
}

static void
take_desk(struct ringing *ringing)
{
    struct side *side = &ringing->side;

    desk_free(ringing->desk);
    ringing->desk = desk_copy(ringing->live);
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

static void look_around(struct ringing *ringing);

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
    for (int i = 0; i < count; i++)
        ringing->courses[i].input = own_input(ringing, mixes[i]);
    look_around(ringing);
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

/* ---- which mix, or all ---- */

/* Between the first step up and the step back the mix at work is the only one whose moves are the
 * ring-out's. */
static bool
is_under_way(const struct ringing *ringing)
{
    const struct course *course = ringing->course;

    return course && (course->phase == PHASE_RISING || course->phase == PHASE_RINGING) &&
           course->input >= 0 &&
           side_spot(&ringing->side, course->input, course->mix)->open != SURE_NO;
}

static bool
all_were_raised(const struct ringing *ringing)
{
    for (int i = 0; i < ringing->count; i++)
        if (ringing->courses[i].phase == PHASE_READY)
            return false;
    return true;
}

/* Something is open that a mix rung out alone has closed. */
static bool
more_is_open(const struct ringing *ringing, int sounding)
{
    const struct course *only = &ringing->courses[0];

    return sounding > 1 || (ringing->count == 1 && only->input >= 0 &&
                            ring_other_open(ringing, only->mix, only->input) >= 0);
}

static void
look_around(struct ringing *ringing)
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
        more_is_open(ringing, sounding))
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

/* How much speaks for it that the step up is for that mix. */
static int
rank(const struct ringing *ringing, const struct course *course, int input)
{
    if (course == ringing->course)
        return 3;
    return course->input == input ? 2 : 1;
}

static struct course *
raised_course(struct ringing *ringing, const struct touched **path)
{
    struct course *found = NULL;
    int best = 0;

    for (int i = 0; i < ringing->touched_count; i++) {
        const struct touched *touched = &ringing->touched[i];
        struct course *course = ring_course_of(ringing, touched->mix);
        int speaks =
            course ? 2 * rank(ringing, course, touched->input) + (course->input == touched->input)
                   : 0;

        if (touched->way == WAY_UP && speaks > best) {
            best = speaks;
            found = course;
            *path = touched;
        }
    }
    return found;
}

static void
move_between(struct ringing *ringing, const struct ring_move *move)
{
    const struct touched *path = NULL;
    struct course *course = raised_course(ringing, &path);

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
    if (course->input < 0 || course->phase == PHASE_READY)
        course->input = path->input;
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
sounds_anywhere(const struct ringing *ringing, int input)
{
    for (int mix = 0; mix < ringing->mixes; mix++)
        if (side_spot(&ringing->side, input, mix)->open != SURE_NO)
            return true;
    return false;
}

/* A filter, a gate, a tap: whose it is, and whether anything goes through it. */
static void
move_else(struct ringing *ringing, const struct ring_move *move)
{
    static const enum param_id reads[] = {PROOF_READS, PARAM_INPUT_GATE_ON, PARAMS};
    const struct course *course = ringing->course;
    const struct param *param = &params[move->knob.id];
    bool read = false, of_input = param->row == INDEX_INPUT, foreign = false;

    for (const enum param_id *id = reads; *id != PARAMS; id++)
        read |= *id == move->knob.id;
    if (!read || !(of_input                  ? sounds_anywhere(ringing, move->knob.row)
                   : param->row == INDEX_MIX ? ring_sounds(ringing, move->knob.row)
                                             : true))
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

static void
judge(struct ringing *ringing, const struct ring_move *move)
{
    touch_find(ringing, move);
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
    look_around(ringing);
}

static void
take_label(struct ringing *ringing, enum param_id id, int row, int column)
{
    stood_moved(&ringing->stood, ringing->desk, id, row, column, ringing->now_ms);
    for (int i = 0; i < ringing->count; i++)
        if (ringing->courses[i].phase == PHASE_READY)
            ringing->courses[i].input = own_input(ringing, ringing->courses[i].mix);
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
    ringing->unclear = isnan(move.from) || isnan(move.to);
    judge(ringing, &move);
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
    look_around(ringing);
}

const struct proofs *
ringing_proofs(const struct ringing *ringing)
{
    return &ringing->kept;
}
