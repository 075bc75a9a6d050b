#include "engine.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* One check on one object. */
struct slot {
    struct finding finding;                     /* counts while open */
    char why[sizeof((struct verdict *)0)->why]; /* reason of OUTCOME_NOT_KNOWN */
    enum outcome outcome;
    bool open;
    bool marked;
};

/* Where the slots of one check begin: the desk's, then one per input, then one per mix. */
struct span {
    size_t desk, input, mix, end;
};

struct engine {
    struct desk *desk;
    struct show *show;
    struct slot *slots;
    struct span *spans; /* one per check */
    size_t slot_count;
    size_t *marks; /* slots to run; each stands here at most once */
    size_t mark_count;
    int *readers[PARAMS]; /* checks that read the parameter, ended by -1 */
    const struct finding **open;
    bool *accept_used;
    int day;
};

static void
mark(struct engine *engine, size_t slot)
{
    if (engine->slots[slot].marked)
        return;
    engine->slots[slot].marked = true;
    engine->marks[engine->mark_count++] = slot;
}

static void
mark_range(struct engine *engine, size_t from, size_t to)
{
    for (size_t slot = from; slot < to; slot++)
        mark(engine, slot);
}

static int
preamp_of(const struct engine *engine, int input)
{
    const struct value *preamp = desk_value(engine->desk, PARAM_INPUT_PREAMP, input, 0);

    return preamp->state == VALUE_KNOWN ? (int)preamp->number : -1;
}

/* Marks the input's object and, where the check asks for it, all that share its preamp. They are
 * only ever marked together, so a marked one needs no second search. */
static void
mark_input(struct engine *engine, int check, int input)
{
    const struct span *span = &engine->spans[check];
    int preamp;

    if (engine->slots[span->input + (size_t)input].marked)
        return;
    mark(engine, span->input + (size_t)input);
    if (checks[check]->spread != SPREAD_PREAMP)
        return;
    preamp = preamp_of(engine, input);
    for (int other = 0; preamp >= 0 && other < desk_count(engine->desk, INDEX_INPUT); other++)
        if (preamp_of(engine, other) == preamp)
            mark(engine, span->input + (size_t)other);
}

static bool
reads(const enum param_id *list, enum param_id id)
{
    while (*list != PARAMS && *list != id)
        list++;
    return *list == id;
}

/* Marks the objects of one check that a change of (id, row, column) can touch: those with the same
 * input or mix, or all of a kind that the parameter has no index for. */
static void
mark_objects(struct engine *engine, int check, enum param_id id, int row, int column)
{
    const struct span *span = &engine->spans[check];
    int input = params[id].row == INDEX_INPUT && id != PARAM_INPUT_PREAMP ? row : -1;
    int mix = params[id].row == INDEX_MIX ? row : params[id].column == INDEX_MIX ? column : -1;

    mark_range(engine, span->desk, span->input);
    if (input < 0)
        mark_range(engine, span->input, span->mix);
    else if (span->mix > span->input)
        mark_input(engine, check, input);
    if (span->end == span->mix || !reads(check_reads(checks[check], true), id))
        return;
    if (mix < 0)
        mark_range(engine, span->mix, span->end);
    else
        mark(engine, span->mix + (size_t)mix);
}

static void
mark_readers(void *context, enum param_id id, int row, int column)
{
    struct engine *engine = context;

    for (const int *check = engine->readers[id]; *check >= 0; check++)
        mark_objects(engine, *check, id, row, column);
}

static bool
list_readers(struct engine *engine)
{
    for (int id = 0; id < PARAMS; id++) {
        int *list = malloc(((size_t)check_count + 1) * sizeof *list);
        int count = 0;

        if (!list)
            return false;
        for (int check = 0; check < check_count; check++)
            if (reads(checks[check]->reads, (enum param_id)id))
                list[count++] = check;
        list[count] = -1;
        engine->readers[id] = list;
    }
    return true;
}

static void
lay_out(struct engine *engine)
{
    size_t inputs = (size_t)desk_count(engine->desk, INDEX_INPUT);
    size_t mixes = (size_t)desk_count(engine->desk, INDEX_MIX);
    size_t at = 0;

    for (int check = 0; check < check_count; check++) {
        struct span *span = &engine->spans[check];
        unsigned objects = checks[check]->objects;

        span->desk = at;
        span->input = span->desk + (objects & OBJECT_DESK ? 1 : 0);
        span->mix = span->input + (objects & OBJECT_INPUT ? inputs : 0);
        span->end = span->mix + (objects & OBJECT_MIX ? mixes : 0);
        at = span->end;
    }
    engine->slot_count = at;
}

struct engine *
engine_new(struct desk *desk, struct show *show)
{
    struct engine *engine = calloc(1, sizeof *engine);

    if (!engine)
        return NULL;
    engine->desk = desk;
    engine->show = show;
    engine->spans = calloc((size_t)check_count, sizeof *engine->spans);
    if (!engine->spans)
        goto fail;
    lay_out(engine);
    engine->slots = calloc(engine->slot_count + 1, sizeof *engine->slots);
    engine->marks = calloc(engine->slot_count + 1, sizeof *engine->marks);
    engine->open = calloc(engine->slot_count + 1, sizeof *engine->open);
    engine->accept_used = calloc((size_t)show->accept_count + 1, sizeof *engine->accept_used);
    if (!engine->slots || !engine->marks || !engine->open || !engine->accept_used ||
        !list_readers(engine))
        goto fail;
    mark_range(engine, 0, engine->slot_count);
    return engine;

fail:
    engine->desk = NULL;
    engine->show = NULL;
    engine_free(engine);
    return NULL;
}

void
engine_free(struct engine *engine)
{
    if (!engine)
        return;
    for (int id = 0; id < PARAMS; id++)
        free(engine->readers[id]);
    free(engine->spans);
    free(engine->slots);
    free(engine->marks);
    free(engine->open);
    free(engine->accept_used);
    desk_free(engine->desk);
    show_free(engine->show);
    free(engine);
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

static enum change
heard(struct engine *engine, enum param_id id, int row, int column, enum change change)
{
    if (change == CHANGE_FIRST || change == CHANGE_MOVED)
        mark_readers(engine, id, row, column);
    return change;
}

enum change
engine_hear(struct engine *engine, enum param_id id, int row, int column, double number,
            int64_t now_ms)
{
    return heard(engine, id, row, column, desk_set(engine->desk, id, row, column, number, now_ms));
}

enum change
engine_hear_text(struct engine *engine, enum param_id id, int row, int column, const char *text,
                 int64_t now_ms)
{
    return heard(engine, id, row, column,
                 desk_set_text(engine->desk, id, row, column, text, now_ms));
}

void
engine_expire(struct engine *engine, int64_t before_ms)
{
    desk_expire(engine->desk, before_ms, mark_readers, engine);
}

void
engine_set_day(struct engine *engine, int day)
{
    if (engine->day != day)
        mark_range(engine, 0, engine->slot_count);
    engine->day = day;
}

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

        if (accept->check != finding->check ||
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

static void
tell_event(const struct slot *slot, enum event_kind kind, int64_t now_ms, engine_tell_fn *tell,
           void *context)
{
    struct event event = {kind, &slot->finding, now_ms - slot->finding.since_ms};

    tell(context, &event);
}

static bool
is_worse(const struct finding *finding)
{
    return finding->verdict.weight > finding->told_weight ||
           finding->verdict.severity >= finding->told_severity + checks[finding->check]->worse_step;
}

static void
hold_open(struct engine *engine, struct slot *slot, int check, struct object object,
          const struct verdict *verdict, int64_t now_ms, engine_tell_fn *tell, void *context)
{
    struct finding *finding = &slot->finding;
    bool was_told = slot->open && finding->accept < 0;

    if (!slot->open)
        *finding = (struct finding){.check = check, .object = object, .since_ms = now_ms};
    slot->open = true;
    finding->verdict = *verdict;
    finding->frozen = false;
    finding->accept = accept_of(engine, finding);
    if (finding->accept >= 0 && was_told)
        tell_event(slot, EVENT_CLEARED, now_ms, tell, context); /* told open, so told closed */
    if (finding->accept >= 0 || (was_told && !is_worse(finding)))
        return;
    if (!was_told)
        finding->since_ms = now_ms; /* it may have been accepted for long */
    finding->told_severity = verdict->severity;
    finding->told_weight = verdict->weight;
    tell_event(slot, was_told ? EVENT_WORSE : EVENT_RAISED, now_ms, tell, context);
}

static struct object
slot_object(const struct span *span, size_t slot)
{
    if (slot < span->input)
        return (struct object){-1, -1};
    if (slot < span->mix)
        return (struct object){(int)(slot - span->input), -1};
    return (struct object){-1, (int)(slot - span->mix)};
}

static void
run_slot(struct engine *engine, size_t number, int64_t now_ms, engine_tell_fn *tell, void *context)
{
    struct slot *slot = &engine->slots[number];
    struct verdict verdict;
    struct object object;
    int check = 0;

    while (number >= engine->spans[check].end)
        check++;
    object = slot_object(&engine->spans[check], number);
    slot->marked = false;
    if (engine->show->checks[check].off)
        return;
    look_run(engine->desk, engine->show, check, object, &verdict);
    slot->outcome = verdict.outcome;
    if (verdict.outcome == OUTCOME_NOT_KNOWN || verdict.outcome == OUTCOME_CLOSED) {
        slot->finding.frozen = true;
        memcpy(slot->why, verdict.why, sizeof slot->why);
    } else if (verdict.outcome == OUTCOME_FINDING) {
        hold_open(engine, slot, check, object, &verdict, now_ms, tell, context);
    } else if (slot->open) {
        slot->open = false;
        if (slot->finding.accept < 0)
            tell_event(slot, EVENT_CLEARED, now_ms, tell, context);
    }
}

size_t
engine_run(struct engine *engine, int64_t now_ms, engine_tell_fn *tell, void *context)
{
    size_t count = engine->mark_count;

    engine->mark_count = 0;
    for (size_t i = 0; i < count; i++)
        run_slot(engine, engine->marks[i], now_ms, tell, context);
    return count;
}

size_t
engine_marked(const struct engine *engine)
{
    return engine->mark_count;
}

static int
by_weight(const void *one, const void *other)
{
    const struct finding *a = *(const struct finding *const *)one;
    const struct finding *b = *(const struct finding *const *)other;

    if (a->verdict.weight != b->verdict.weight)
        return a->verdict.weight > b->verdict.weight ? -1 : 1;
    if (a->check != b->check)
        return a->check - b->check;
    if (a->object.input != b->object.input)
        return a->object.input - b->object.input;
    return a->object.mix - b->object.mix;
}

size_t
engine_findings(struct engine *engine, const struct finding *const **findings)
{
    size_t count = 0;

    for (size_t i = 0; i < engine->slot_count; i++)
        if (engine->slots[i].open)
            engine->open[count++] = &engine->slots[i].finding;
    qsort(engine->open, count, sizeof *engine->open, by_weight);
    *findings = engine->open;
    return count;
}

void
engine_unknown(const struct engine *engine, engine_unknown_fn *each, void *context)
{
    for (int check = 0; check < check_count; check++) {
        const struct span *span = &engine->spans[check];

        for (size_t i = span->desk; i < span->end; i++)
            if (engine->slots[i].outcome == OUTCOME_NOT_KNOWN)
                each(context, check, slot_object(span, i), engine->slots[i].why);
    }
}

size_t
engine_count(const struct engine *engine, int check, enum outcome outcome)
{
    size_t count = 0;

    for (size_t i = engine->spans[check].desk; i < engine->spans[check].end; i++)
        count += engine->slots[i].outcome == outcome;
    return count;
}
