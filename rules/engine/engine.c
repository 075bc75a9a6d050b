/* SPDX-License-Identifier: MIT */
#include "engine/parts.h"

#include <stdlib.h>

#include "advice/plan.h"
#include "change/levels.h"
#include "change/suspects.h"
#include "check/protection.h"
#include "check/value_jumped.h"
#include "core/need.h"
#include "core/text.h"
#include "desk/player.h"
#include "proof/proof.h"
#include "stage/estimate.h"

static void
name_slots(struct engine *engine)
{
    for (size_t i = 0; i < marks_slots(engine->marks); i++) {
        struct finding *finding = &engine->slots[i].finding;
        int number;

        finding->object = marks_object(engine->marks, i, &number);
        finding->check = engine->set.of[number];
        finding->slot = i;
        finding->accept = -1;
    }
}

/* What the set lacks is no cause that another check could leave to it. */
static void
switch_off_lacking(struct engine *engine)
{
    for (int check = 0; check < CHECKS; check++)
        engine->show->checks[check].off |= !engine->set.of[check];
}

/* What rests on a plan is estimated where there is one and somebody asks. */
static void
begin_estimate(struct engine *engine)
{
    bool asked = false;

    if (!engine->show->stage)
        check_set_drop_estimates(&engine->set);
    for (int check = 0; check < CHECKS; check++)
        asked |= engine->set.of[check] && engine->set.of[check]->of_plan;
    if (asked)
        engine->estimate = estimate_new(engine->desk, engine->show);
    engine->ground.estimate = engine->estimate;
}

struct engine *
engine_new(struct desk *desk, struct show *show, struct check_set set)
{
    struct engine *engine = need_memory(1, sizeof *engine);
    size_t slots;

    engine->desk = desk;
    engine->show = show;
    engine->ground = (struct ground){.desk = desk, .show = show};
    engine->next_ms = INT64_MAX;
    engine->run = 1;
    engine->set = set;
    begin_estimate(engine);
    engine->marks = marks_new(desk, &engine->set);
    engine->plan = need_memory(1, sizeof(struct plan *));
    slots = marks_slots(engine->marks);
    engine->slots = need_memory(slots + 1, sizeof *engine->slots);
    engine->waiting = need_memory(slots + 1, sizeof *engine->waiting);
    engine->open = need_memory(slots + 1, sizeof *engine->open);
    engine->accept_used = need_memory((size_t)show->accept_count + 1, sizeof *engine->accept_used);
    engine->loudest_db =
        need_memory((size_t)desk_count(desk, INDEX_MIX) + 1, sizeof *engine->loudest_db);
    engine->proving = need_memory((size_t)desk_count(desk, INDEX_MIX) + 1, sizeof *engine->proving);
    engine->ground.loudest_db = engine->loudest_db;
    name_slots(engine);
    switch_off_lacking(engine);
    marks_all(engine->marks);
    return engine;
}

void
engine_free(struct engine *engine)
{
    if (!engine)
        return;
    for (size_t i = 0; i < marks_slots(engine->marks); i++)
        engine_drop_words(&engine->slots[i]);
    engine_forget_plan(engine);
    free(engine->plan);
    marks_free(engine->marks);
    moves_free(engine->moves);
    journal_release(&engine->journal);
    levels_free(engine->levels);
    suspects_free(engine->suspects);
    proof_free(engine->proof);
    estimate_free(engine->estimate);
    free(engine->slots);
    free(engine->waiting);
    free(engine->open);
    free(engine->accept_used);
    free(engine->loudest_db);
    free(engine->proving);
    desk_free(engine->desk);
    desk_free(engine->approved);
    desk_free(engine->anchor);
    show_free(engine->show);
    free(engine);
}

const struct desk *
engine_approved(const struct engine *engine)
{
    return engine->approved;
}

const struct check_set *
engine_checks(const struct engine *engine)
{
    return &engine->set;
}

const struct desk *
engine_desk(const struct engine *engine)
{
    return engine->desk;
}

const struct show *
engine_show(const struct engine *engine)
{
    return engine->show;
}

bool
engine_player(const struct engine *engine, const struct finding *finding,
              char player[SHOW_NAME_SIZE])
{
    return player_of(engine->desk, engine->show, finding->object, &finding->verdict, player);
}

/* ---- what a watch remembers ---- */

void
engine_hold(struct engine *engine, bool hold)
{
    engine->hold = hold;
}

void
engine_remember(struct engine *engine)
{
    engine->moves = moves_new(engine->desk);
    engine->levels = levels_new(desk_count(engine->desk, INDEX_MIX));
    engine->ground.moves = engine->moves;
    engine->ground.levels = engine->levels;
}

struct moves *
engine_moves(struct engine *engine)
{
    return engine->moves;
}

static void
set_past(struct engine *engine, struct desk **past, struct desk *desk)
{
    engine_keep_all(engine);
    engine_forget_plan(engine);
    desk_free(*past);
    *past = desk;
    engine->ground.approved = engine->approved;
    engine->ground.anchor = engine->anchor;
    marks_all(engine->marks);
}

void
engine_anchor(struct engine *engine)
{
    set_past(engine, &engine->anchor, desk_copy(engine->desk));
}

void
engine_anchor_before_leaps(struct engine *engine)
{
    struct desk *anchor = desk_copy(engine->desk);
    size_t count = 0;
    const struct jump *jumps = engine->moves ? moves_jumps(engine->moves, &count) : NULL;

    for (size_t i = 0; i < count; i++)
        if (value_jumped_is_slip(&engine->ground, &jumps[i]))
            desk_set(anchor, jumps[i].id, jumps[i].row, jumps[i].column, jumps[i].from,
                     jumps[i].at_ms);
    set_past(engine, &engine->anchor, anchor);
}

void
engine_set_anchor(struct engine *engine, struct desk *anchor)
{
    set_past(engine, &engine->anchor, anchor);
}

void
engine_anchor_levels(struct engine *engine)
{
    if (!engine->anchor)
        return;
    for (int id = 0; id < PARAMS; id++)
        if (params[id].kind == DIFFERENCE_OF_STRUCTURE || params[id].kind == DIFFERENCE_OF_ROUTING)
            desk_carry_param(engine->anchor, engine->desk, (enum param_id)id);
    marks_all(engine->marks);
}

bool
engine_anchor_gained(struct engine *engine)
{
    bool gained = protection_gained(engine->anchor, engine->desk);

    if (gained)
        marks_all(engine->marks);
    return gained;
}

const struct desk *
engine_anchored(const struct engine *engine)
{
    return engine->anchor;
}

void
engine_set_approved(struct engine *engine, struct desk *approved)
{
    set_past(engine, &engine->approved, approved);
}

void
engine_trace(struct engine *engine, engine_trace_fn *trace, void *context)
{
    engine->trace = trace;
    engine->trace_context = context;
}

/* ---- hearing ---- */

/* What was judged is another now. */
static void
mark_moved(struct engine *engine, const struct moved *place)
{
    engine_forget_plan(engine);
    if (!journal_note(&engine->journal, place))
        engine_keep_all(engine);
    engine_note_proof(engine, place);
    marks_readers(engine->marks, place->id, place->row, place->column);
}

static enum change
heard(struct engine *engine, const struct moved *place, bool other, enum change change,
      int64_t now_ms)
{
    if (change != CHANGE_FIRST && change != CHANGE_MOVED)
        return change;
    mark_moved(engine, place);
    if (engine->suspects && other)
        suspects_moved(engine->suspects, place, now_ms);
    if (engine->moves && change == CHANGE_FIRST)
        moves_first(engine->moves, engine->desk, place->id, place->row, place->column);
    else if (engine->moves && other)
        moves_note(engine->moves, engine->desk, place, now_ms);
    return change;
}

static bool
inside(const struct engine *engine, enum param_id id, int row, int column)
{
    return row >= 0 && column >= 0 && row < desk_rows(engine->desk, id) &&
           column < desk_columns(engine->desk, id);
}

/* A meter never rests, so in a watch its checks run when the highest of some minutes is another. */
static enum change
hear_level(struct engine *engine, int mix, double level_db, int64_t now_ms)
{
    enum value_state was = desk_value(engine->desk, PARAM_MIX_LEVEL, mix, 0)->state;
    enum change change = desk_set(engine->desk, PARAM_MIX_LEVEL, mix, 0, level_db, now_ms);

    if (change != CHANGE_REFUSED &&
        (levels_note(engine->levels, mix, level_db, now_ms) || was != VALUE_KNOWN))
        marks_readers(engine->marks, PARAM_MIX_LEVEL, mix, 0);
    return change;
}

enum change
engine_hear(struct engine *engine, enum param_id id, int row, int column, double number,
            int64_t now_ms)
{
    struct moved place;

    if (!inside(engine, id, row, column))
        return CHANGE_REFUSED;
    if (id == PARAM_MIX_LEVEL && engine->levels)
        return hear_level(engine, row, number, now_ms);
    place = (struct moved){id, row, column, *desk_value(engine->desk, id, row, column)};
    return heard(engine, &place, value_last_heard(&place.before) != number,
                 desk_set(engine->desk, id, row, column, number, now_ms), now_ms);
}

enum change
engine_hear_text(struct engine *engine, enum param_id id, int row, int column, const char *text,
                 int64_t now_ms)
{
    struct moved place;

    if (!inside(engine, id, row, column))
        return CHANGE_REFUSED;
    place = (struct moved){id, row, column, *desk_value(engine->desk, id, row, column)};
    return heard(engine, &place, place.before.state == VALUE_KNOWN,
                 desk_set_text(engine->desk, id, row, column, text, now_ms), now_ms);
}

static void
on_stale(void *context, enum param_id id, int row, int column)
{
    struct engine *engine = context;
    struct moved place = {id, row, column, *desk_value(engine->desk, id, row, column)};

    place.before.state = VALUE_KNOWN;
    mark_moved(engine, &place);
}

size_t
engine_expire(struct engine *engine, int64_t before_ms)
{
    return desk_expire(engine->desk, before_ms, on_stale, engine);
}

void
engine_set_stale(struct engine *engine, enum param_id id, int row, int column)
{
    if (desk_value(engine->desk, id, row, column)->state != VALUE_KNOWN)
        return;
    desk_set_stale(engine->desk, id, row, column);
    on_stale(engine, id, row, column);
}

void
engine_set_day(struct engine *engine, int day)
{
    if (engine->day != day)
        marks_all(engine->marks);
    engine->day = day;
}

/* ---- from one engine to the next ---- */

/* Its figures are only known once it is judged again, but what was said of it is. */
static void
restore_words(struct slot *slot, const struct told *told)
{
    struct words words;
    struct text text;

    text_init(&text, words.says, sizeof words.says);
    text_add(&text, "%s", told->says);
    text_init(&text, words.cure, sizeof words.cure);
    text_add(&text, "%s", told->cure);
    engine_put_words(slot, &words);
}

size_t
engine_restore(struct engine *engine, const struct told *told)
{
    size_t slot = marks_find(engine->marks, told->check, told->object);
    struct finding *finding;

    if (slot == marks_slots(engine->marks))
        return slot;
    finding = &engine->slots[slot].finding;
    finding->life = (struct life){LIFE_RAISED, told->since_ms, told->since_ms, true, NULL};
    finding->verdict = (struct verdict){.outcome = OUTCOME_FINDING,
                                        .weight = told->weight,
                                        .severity = told->severity,
                                        .mix = -1,
                                        .band = -1};
    restore_words(&engine->slots[slot], told);
    finding->since_ms = finding->told_ms = told->since_ms;
    finding->told = true;
    finding->told_weight = told->weight;
    finding->told_severity = told->severity;
    return slot;
}

void
engine_take_values(struct engine *engine, const struct desk *from)
{
    engine_keep_all(engine);
    engine_forget_plan(engine);
    desk_carry(engine->desk, from);
    engine_renew_proof(engine);
    marks_all(engine->marks);
}

static void
carry_desk(struct engine *engine, struct desk **past, const struct desk *from)
{
    struct desk *copy;

    if (!from)
        return;
    copy = desk_copy(engine->desk);
    desk_carry(copy, from);
    set_past(engine, past, copy);
}

static void
carry_finding(struct engine *engine, const struct engine *from, const struct finding *old)
{
    size_t slot = marks_find(engine->marks, old->check->number, old->object);
    struct finding *finding;
    struct words words;

    if (slot >= marks_slots(engine->marks))
        return;
    finding = &engine->slots[slot].finding;
    *finding = *old;
    finding->check = engine->set.of[old->check->number];
    finding->slot = slot;
    finding->accept = -1;
    engine_words(from, old, &words);
    if (*words.says)
        engine_put_words(&engine->slots[slot], &words);
}

void
engine_carry_levels(struct engine *engine, const struct engine *from)
{
    levels_carry(engine->levels, from->levels);
}

void
engine_carry(struct engine *engine, const struct engine *from)
{
    engine_forget_plan(engine);
    desk_carry(engine->desk, from->desk);
    engine_renew_proof(engine);
    carry_desk(engine, &engine->anchor, from->anchor);
    for (size_t i = 0; i < marks_slots(from->marks); i++)
        carry_finding(engine, from, &from->slots[i].finding);
    marks_all(engine->marks);
}

/* ---- what is open ---- */

size_t
engine_slots(const struct engine *engine)
{
    return marks_slots(engine->marks);
}

size_t
engine_find(const struct engine *engine, int check, struct object object)
{
    return marks_find(engine->marks, check, object);
}

const struct finding *
engine_slot(const struct engine *engine, size_t slot)
{
    return &engine->slots[slot].finding;
}

enum outcome
engine_outcome(const struct engine *engine, size_t slot)
{
    return engine->slots[slot].outcome;
}

static int
by_weight(const void *one, const void *other)
{
    const struct finding *a = *(const struct finding *const *)one;
    const struct finding *b = *(const struct finding *const *)other;

    if (a->verdict.weight != b->verdict.weight)
        return a->verdict.weight > b->verdict.weight ? -1 : 1;
    if (a->check->number != b->check->number)
        return a->check->number - b->check->number;
    if (a->object.input != b->object.input)
        return a->object.input - b->object.input;
    return a->object.mix - b->object.mix;
}

size_t
engine_findings(struct engine *engine, const struct finding *const **findings)
{
    size_t count = 0;

    for (size_t i = 0; i < marks_slots(engine->marks); i++)
        if (life_is_open(&engine->slots[i].finding.life))
            engine->open[count++] = &engine->slots[i].finding;
    qsort(engine->open, count, sizeof *engine->open, by_weight);
    *findings = engine->open;
    return count;
}

size_t
engine_count(const struct engine *engine, int check, enum outcome outcome)
{
    size_t count = 0, from, to;

    marks_span(engine->marks, check, &from, &to);
    for (size_t i = from; i < to; i++)
        count += engine->slots[i].outcome == outcome;
    return count;
}
