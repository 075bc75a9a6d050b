/* SPDX-License-Identifier: MIT */
/* One wake-up of the engine: the marked checks look, each finding goes a step through its life, and
 * what has to be told is told.
 */
#include "engine/parts.h"

#include <math.h>

#include "stage/estimate.h"

enum { LONGEST_HOLDS = 10, LONGEST_LEAST_MS = 30000, JUMP_FORGET_MS = 120000 };

/* ---- what is accepted ---- */

bool
engine_accept_expired(const struct engine *engine, int accept)
{
    int until = engine->show->accepts[accept].until;

    return until != 0 && engine->day > until;
}

bool
engine_accept_idle(const struct engine *engine, int accept)
{
    return !engine->accept_used[accept] &&
           engine_count(engine, engine->show->accepts[accept].check, OUTCOME_NOT_KNOWN) == 0;
}

/* The accept that covers the finding as it is now, or -1. */
static int
accept_of(struct engine *engine, const struct finding *finding)
{
    for (int i = 0; i < engine->show->accept_count; i++) {
        const struct accept *accept = &engine->show->accepts[i];

        if (accept->check != finding->check->number ||
            (accept->input >= 0 && accept->input != finding->object.input) ||
            (accept->mix >= 0 && accept->mix != finding->object.mix &&
             accept->mix != finding->verdict.mix))
            continue;
        engine->accept_used[i] = true;
        if (!engine_accept_expired(engine, i) && finding->verdict.severity <= accept->up_to)
            return i;
    }
    return -1;
}

/* ---- running ---- */

struct teller {
    engine_tell_fn *tell;
    void *context;
    int64_t now_ms;
};

const char *
event_name(enum event_kind kind)
{
    static const char *const names[] = {"raised", "worse", "cleared"};

    return names[kind];
}

static void
tell_event(const struct teller *teller, const struct slot *slot, enum event_kind kind)
{
    struct event event = {kind, &slot->finding, teller->now_ms - slot->finding.since_ms};

    if (teller->tell)
        teller->tell(teller->context, &event);
}

static bool
is_worse(const struct finding *finding)
{
    return finding->verdict.weight > finding->told_weight ||
           finding->verdict.severity >= finding->told_severity + finding->check->worse_step;
}

static struct life_holds
holds_of(const struct engine *engine, const struct finding *finding)
{
    const struct show_check *check = &engine->show->checks[finding->check->number];
    struct life_holds holds = {(int64_t)(check->raise_after_s * 1000),
                               (int64_t)(check->clear_after_s * 1000), LONGEST_LEAST_MS};

    if (!engine->hold && (!engine->moves || check->raise_after_s <= ENGINE_SHORT_HOLD_S))
        return (struct life_holds){0};
    if (holds.longest_ms < holds.raise_ms * LONGEST_HOLDS)
        holds.longest_ms = holds.raise_ms * LONGEST_HOLDS;
    return holds;
}

/* What gets worse is told once it has stopped getting worse. */
static int64_t
worse_from_ms(const struct finding *finding, const struct life_holds *holds)
{
    return finding->verdict.weight == WEIGHT_STOP ? INT64_MIN
                                                  : finding->life.still_ms + holds->raise_ms;
}

/* Tells what an open finding is beyond what was told of it. */
static void
tell_open(struct slot *slot, const struct life_holds *holds, const struct teller *teller)
{
    struct finding *finding = &slot->finding;
    bool was_told = finding->told;

    if (was_told && (finding->life.state != LIFE_RAISED || !is_worse(finding) ||
                     worse_from_ms(finding, holds) > teller->now_ms))
        return;
    if (!was_told)
        finding->since_ms = teller->now_ms;
    finding->told = true;
    finding->told_ms = teller->now_ms;
    finding->told_severity = finding->verdict.severity;
    finding->told_weight = finding->verdict.weight;
    tell_event(teller, slot, was_told ? EVENT_WORSE : EVENT_RAISED);
}

static void
tell_slot(struct slot *slot, const struct life_holds *holds, const struct teller *teller)
{
    struct finding *finding = &slot->finding;
    bool open = life_is_open(&finding->life);

    if (open && finding->accept < 0) {
        tell_open(slot, holds, teller);
        return;
    }
    if (finding->told)
        tell_event(teller, slot, EVENT_CLEARED); /* told open, so told closed */
    finding->told = false;
    finding->since_ms = finding->life.since_ms;
}

struct log {
    struct engine *engine;
    const struct finding *finding;
};

static void
log_life(void *context, enum life_state from, enum life_state to, const char *why)
{
    const struct log *log = context;

    if (log->engine->trace)
        log->engine->trace(log->engine->trace_context, log->finding, from, to, why);
}

/* Lets the slot be looked at again when its hold is over. */
static void
wait_for(struct engine *engine, struct slot *slot, const struct life_holds *holds)
{
    struct finding *finding = &slot->finding;
    int64_t next_ms = life_next_ms(&finding->life, holds);

    if (finding->life.state == LIFE_RAISED && !finding->life.frozen && finding->told &&
        is_worse(finding))
        next_ms = worse_from_ms(finding, holds);
    if (next_ms == INT64_MAX)
        return;
    if (next_ms < engine->next_ms)
        engine->next_ms = next_ms;
    if (!slot->waits)
        engine->waiting[engine->waiting_count++] = finding->slot;
    slot->waits = true;
}

static enum seen
seen_as(enum outcome outcome)
{
    switch (outcome) {
    case OUTCOME_FINDING:
        return SEEN_BAD;
    case OUTCOME_NOT_KNOWN:
    case OUTCOME_CLOSED:
        return SEEN_UNKNOWN;
    default:
        return SEEN_GOOD;
    }
}

/* Whether it still moves: a slide is judged when it stops, but protection at once. */
static bool
takes(struct finding *finding, const struct verdict *verdict)
{
    bool moved = finding->verdict.severity != verdict->severity && verdict->weight < WEIGHT_STOP;

    finding->verdict = *verdict;
    return moved;
}

/* Words are kept for whoever may still ask for them. */
static bool
outlasts(const struct slot *slot, enum seen seen, const struct life_holds *holds,
         const struct teller *teller)
{
    enum life_state state = slot->finding.life.state;

    return state != LIFE_CLEAR &&
           (seen == SEEN_UNKNOWN || teller->tell || (state != LIFE_RISING && holds->clear_ms > 0));
}

/* A check that was turned off, by a reload or between two runs, has nothing open any more. */
static void
close_slot(struct engine *engine, struct slot *slot, const struct teller *teller)
{
    static const struct life_holds none = {0};
    struct log log = {engine, &slot->finding};

    engine_keep_words(engine, slot);
    life_see(&slot->finding.life, SEEN_GOOD, false, &none, teller->now_ms,
             &(struct life_log){log_life, &log});
    tell_slot(slot, &none, teller);
}

/* Takes what a check found; whether that still moves. */
static bool
take_finding(struct engine *engine, struct slot *slot, int standing, const struct verdict *verdict)
{
    bool moved = takes(&slot->finding, verdict);

    engine_drop_words(slot);
    slot->judged = engine->run;
    slot->standing = standing;
    slot->finding.accept = accept_of(engine, &slot->finding);
    return moved;
}

static void
run_slot(struct engine *engine, struct slot *slot, const struct teller *teller)
{
    struct finding *finding = &slot->finding;
    struct life_holds holds = holds_of(engine, finding);
    struct log log = {engine, finding};
    struct verdict verdict;
    enum seen seen;
    bool moved = false;
    int standing;

    if (engine->show->checks[finding->check->number].off) {
        close_slot(engine, slot, teller);
        return;
    }
    standing = engine->hold && finding->life.state != LIFE_CLEAR ? (int)finding->verdict.weight
                                                                 : CHECK_AFRESH;
    check_run(finding->check, &engine->ground, standing, finding->object, &verdict, &slot->misses);
    slot->outcome = verdict.outcome;
    marks_rest_on_others(engine->marks, finding->check->number, finding->slot, verdict.of_others);
    seen = seen_as(verdict.outcome);
    if (seen == SEEN_BAD)
        moved = take_finding(engine, slot, standing, &verdict);
    else if (outlasts(slot, seen, &holds, teller))
        engine_keep_words(engine, slot);
    life_see(&finding->life, seen, moved, &holds, teller->now_ms,
             &(struct life_log){log_life, &log});
    if (finding->life.frozen)
        return;
    tell_slot(slot, &holds, teller);
    wait_for(engine, slot, &holds);
}

static void
pass_slot(struct engine *engine, struct slot *slot, const struct teller *teller)
{
    struct life_holds holds = holds_of(engine, &slot->finding);
    struct log log = {engine, &slot->finding};

    slot->waits = false;
    if (slot->finding.life.frozen)
        return;
    life_pass(&slot->finding.life, &holds, teller->now_ms, &(struct life_log){log_life, &log});
    tell_slot(slot, &holds, teller);
    wait_for(engine, slot, &holds);
}

static void
mark_jump(void *context, const struct jump *jump)
{
    struct engine *engine = context;

    marks_readers(engine->marks, jump->id, jump->row, jump->column);
}

static bool
protects(void *context, size_t slot)
{
    const struct engine *engine = context;

    return engine->slots[slot].finding.check->protects;
}

/* Slots wait anew while they are looked at, so the list is taken first; it is never written further
 * than it was read. */
static void
pass_waiting(struct engine *engine, bool all, const struct teller *teller)
{
    size_t count = engine->waiting_count;

    engine->waiting_count = 0;
    engine->next_ms = INT64_MAX;
    for (size_t i = 0; i < count; i++) {
        size_t slot = engine->waiting[i];

        if (all || protects(engine, slot))
            pass_slot(engine, &engine->slots[slot], teller);
        else
            engine->waiting[engine->waiting_count++] = slot;
    }
}

static void
begin_run(struct engine *engine, int64_t now_ms)
{
    engine->ground.now_ms = now_ms;
    engine_forget_plan(engine);
    for (int mix = 0; mix < desk_count(engine->desk, INDEX_MIX); mix++)
        engine->loudest_db[mix] = NAN; /* whatever moved since */
    if (engine->estimate)
        estimate_renew(engine->estimate);
}

static void
run_slots(struct engine *engine, const size_t *slots, size_t count, bool all,
          const struct teller *teller)
{
    for (size_t i = 0; i < count; i++)
        run_slot(engine, &engine->slots[slots[i]], teller);
    pass_waiting(engine, all, teller);
    journal_clear(&engine->journal);
    engine->run++;
}

size_t
engine_run(struct engine *engine, int64_t now_ms, engine_tell_fn *tell, void *context)
{
    struct teller teller = {tell, context, now_ms};
    const size_t *marked;
    size_t count;

    begin_run(engine, now_ms);
    if (engine->moves)
        moves_forget_jumps(engine->moves, engine->desk, now_ms - JUMP_FORGET_MS, mark_jump, engine);
    engine_age_spectra(engine, now_ms);
    marked = engine_take_due(engine, &count);
    run_slots(engine, marked, count, true, &teller);
    engine_wake_for_rest(engine);
    if (engine_spectra_next_ms(engine) < engine->next_ms)
        engine->next_ms = engine_spectra_next_ms(engine);
    return count;
}

/* What is judged later was judged of a desk that cannot be put together again then. */
void
engine_run_protection(struct engine *engine, int64_t now_ms, engine_tell_fn *tell, void *context)
{
    struct teller teller = {tell, context, now_ms};
    const size_t *marked;
    size_t count;

    begin_run(engine, now_ms);
    marked = marks_list(engine->marks, &count);
    for (size_t i = 0; i < count; i++)
        if (!protects(engine, marked[i]))
            engine_keep_words(engine, &engine->slots[marked[i]]);
    marked = marks_take_some(engine->marks, protects, engine, &count);
    run_slots(engine, marked, count, false, &teller);
}

int64_t
engine_next_ms(const struct engine *engine)
{
    return engine->next_ms;
}

size_t
engine_marked(const struct engine *engine)
{
    return marks_count(engine->marks);
}
