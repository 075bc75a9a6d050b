/* SPDX-License-Identifier: MIT */
/* What is to be told, by which cause, and what people believe after it.
 */
#include "watcher/parts.h"

#include <stdlib.h>

#include "check/check.h"
#include "check/value_jumped.h"

/* ---- what differs from what people believe ---- */

/* While it is about to become what they believe, nothing is needed. */
static bool
is_needed(const struct watcher *watcher, const struct finding *finding, enum edge_kind *kind)
{
    const struct belief *belief = &watcher->beliefs[finding->slot];

    if (finding->told != belief->told) {
        *kind = !finding->told ? EDGE_CLEARED : belief->ends ? EDGE_STAYS : EDGE_RAISED;
        return finding->life.state != (finding->told ? LIFE_EASING : LIFE_RISING);
    }
    *kind = EDGE_WORSE;
    return finding->told &&
           (finding->told_weight > belief->weight ||
            finding->told_severity >= belief->severity + finding->check->worse_step);
}

static bool
is_muted(const struct desk *desk, int mix)
{
    const struct value *mute = desk_value(desk, PARAM_MIX_MUTE, mix, 0);

    return mute->state == VALUE_KNOWN && value_number(mute) != 0;
}

static bool
is_held_by_room(const struct watcher *watcher, const struct finding *finding)
{
    const struct room_row *room = &room_rows[watcher->room];

    return finding->verdict.weight < room->from_weight ||
           (room->setting_up && finding->check->number == CHECK_VALUE_JUMPED &&
            !engine_leaps_high(watcher->engine, finding));
}

static enum hidden
hidden_of(struct watcher *watcher, const struct finding *finding, int *by)
{
    const struct desk *desk = engine_desk(watcher->engine);
    const struct quiet *quiet =
        quiets_find(&watcher->quiets, desk, engine_show(watcher->engine), finding);

    if (quiet) {
        *by = quiet->number;
        return HIDDEN_BY_QUIET;
    }
    *by = -1;
    if (ring_out_holds(&watcher->ring_out, watcher->engine, finding))
        return HIDDEN_BY_RING_OUT;
    *by = finding->object.mix;
    if (finding->object.mix >= 0 && is_muted(desk, finding->object.mix))
        return HIDDEN_BY_MUTE;
    *by = (int)watcher->room;
    return is_held_by_room(watcher, finding) ? HIDDEN_BY_ROOM : HIDDEN_NOT;
}

enum hidden
watcher_hidden(const struct watcher *watcher, const struct finding *finding, int *by)
{
    const struct belief *belief = &watcher->beliefs[finding->slot];

    *by = belief->hidden_by;
    return belief->told ? HIDDEN_NOT : belief->hidden;
}

bool
watcher_is_told(const struct watcher *watcher, const struct finding *finding)
{
    return watcher->beliefs[finding->slot].told;
}

/* ---- what hangs on what ---- */

void
watcher_activate(struct watcher *watcher, size_t slot)
{
    struct belief *belief = &watcher->beliefs[slot];

    if (!belief->active)
        watcher->active[watcher->active_count++] = slot;
    belief->active = true;
}

static void
hang(struct watcher *watcher, struct belief *belief, int cause)
{
    if (belief->cause >= 0)
        watcher->causes.list[belief->cause].links--;
    belief->cause = cause;
    if (cause >= 0)
        watcher->causes.list[cause].links++;
}

void
watcher_on_trace(void *context, const struct finding *finding, enum life_state from,
                 enum life_state to, const char *why)
{
    struct watcher *watcher = context;
    bool held =
        (from == LIFE_RISING && to == LIFE_RAISED) || (from == LIFE_EASING && to == LIFE_CLEAR);

    if (!held) { /* something moved, and not time alone */
        hang(watcher, &watcher->beliefs[finding->slot],
             causes_find(&watcher->causes, engine_desk(watcher->engine), finding, watcher->now_ms));
        watcher_activate(watcher, finding->slot);
    }
    if (watcher->owner.trace)
        watcher->owner.trace(watcher->owner.context, finding, from, to, why);
}

void
watcher_on_event(void *context, const struct event *event)
{
    struct watcher *watcher = context;
    const struct finding *finding = event->finding;
    struct belief *belief = &watcher->beliefs[finding->slot];
    enum hidden hidden = HIDDEN_NOT;
    int by = -1;

    if (event->kind == EVENT_WORSE)
        hang(watcher, belief,
             causes_find(&watcher->causes, engine_desk(watcher->engine), finding, watcher->now_ms));
    if (event->kind != EVENT_CLEARED)
        hidden = hidden_of(watcher, finding, &by);
    else
        belief->lasted_ms = event->lasted_ms;
    belief->ends &= event->kind != EVENT_CLEARED;
    watcher_activate(watcher, finding->slot);
    if (watcher->begun)
        watcher->owner.edge(watcher->owner.context, event, hidden, by);
}

/* ---- telling ---- */

/* What leads a message: what begins, by weight, and what is about to of lost protection; then what
 * else is about to; then what ends. */
static int
rank(const struct edge *edge)
{
    int weight = WEIGHT_STOP - (int)edge->finding->verdict.weight;

    switch (edge->kind) {
    case EDGE_RAISED:
    case EDGE_WORSE:
    case EDGE_STAYS:
        return weight;
    case EDGE_FOLLOWS:
        return edge->finding->check->protects ? weight : WEIGHTS + weight;
    case EDGE_CLEARED:
        return 2 * WEIGHTS + weight;
    case EDGE_ENDS:
        return 3 * WEIGHTS + weight;
    }
    return 0;
}

static int
by_rank(const void *one, const void *other)
{
    const struct edge *a = one, *b = other;

    if (rank(a) != rank(b))
        return rank(a) - rank(b);
    return a->finding->slot < b->finding->slot ? -1 : a->finding->slot > b->finding->slot;
}

static void
believe(struct watcher *watcher, const struct edge *edge)
{
    struct belief *belief = &watcher->beliefs[edge->finding->slot];
    bool follows = edge->kind == EDGE_FOLLOWS;

    belief->told = edge->kind != EDGE_CLEARED && edge->kind != EDGE_ENDS;
    belief->ends = edge->kind == EDGE_ENDS;
    belief->lasted_ms = follows ? -1 : belief->lasted_ms; /* it was not open yet */
    belief->weight = follows ? edge->finding->verdict.weight : edge->finding->told_weight;
    belief->severity = follows ? edge->finding->verdict.severity : edge->finding->told_severity;
    belief->hidden = HIDDEN_NOT;
}

/* A recall's message says all that it changed, and counts what leapt. */
static void
add_recall(const struct watcher *watcher, const struct telling *telling, struct message *message)
{
    const struct leaps *leaps = telling->leaps;

    message->before = moves_before(engine_moves(watcher->engine));
    message->after = engine_desk(watcher->engine);
    message->leaps = leaps;
    message->recall_values = telling->recall_values;
    for (size_t i = 0; i < leaps->count && i < LEAPS_SHOWN; i++)
        if (leaps->largest[i].weight > message->weight)
            message->weight = leaps->largest[i].weight;
    if (leaps->stops > 0)
        message->weight = WEIGHT_STOP;
}

static void
say(struct watcher *watcher, const struct cause *cause, size_t count, const struct telling *telling)
{
    struct message message = {.cause = *cause, .edges = watcher->edges, .count = count};

    if (count > 0) /* and so there is something to sort */
        qsort(watcher->edges, count, sizeof *watcher->edges, by_rank);
    for (size_t i = 0; i < count; i++) {
        const struct finding *finding = watcher->edges[i].finding;
        enum weight weight =
            watcher->edges[i].kind == EDGE_FOLLOWS ? finding->verdict.weight : finding->told_weight;

        if (weight > message.weight)
            message.weight = weight;
        believe(watcher, &watcher->edges[i]);
    }
    if (telling && telling->leaps)
        add_recall(watcher, telling, &message);
    watcher->owner.message(watcher->owner.context, &message);
}

/* The edge of a finding that is to be told now; false when there is none, or it is held back. */
static bool
edge_of(struct watcher *watcher, const struct finding *finding, struct edge *edge)
{
    struct belief *belief = &watcher->beliefs[finding->slot];
    struct quiet *quiet;
    int by = -1;

    edge->finding = finding;
    edge->lasted_ms = watcher->now_ms - finding->since_ms;
    if (!is_needed(watcher, finding, &edge->kind))
        return false;
    if (edge->kind == EDGE_CLEARED) {
        edge->lasted_ms = belief->lasted_ms;
        return true;
    }
    belief->hidden = hidden_of(watcher, finding, &by);
    if (belief->hidden == HIDDEN_BY_QUIET && by != belief->hidden_by) {
        quiet = quiets_find(&watcher->quiets, engine_desk(watcher->engine),
                            engine_show(watcher->engine), finding);
        quiet->hid++;
    }
    if (belief->hidden != HIDDEN_NOT)
        belief->hidden_by = by;
    return belief->hidden == HIDDEN_NOT;
}

static void
say_now(struct watcher *watcher, const struct telling *telling, size_t count)
{
    struct cause cause = {.kind = telling->kind,
                          .number = -1,
                          .id = PARAMS,
                          .begun_ms = watcher->now_ms,
                          .last_ms = watcher->now_ms};

    say(watcher, &cause, count, telling);
}

void
watcher_say_all(struct watcher *watcher, const struct telling *telling)
{
    size_t count = 0;

    for (size_t i = 0; i < watcher->active_count; i++)
        if (edge_of(watcher, engine_slot(watcher->engine, watcher->active[i]),
                    &watcher->edges[count]))
            count++;
    if (count > 0 || telling->always)
        say_now(watcher, telling, count);
}

/* ---- causes that wait ---- */

/* A finding that hangs on the cause and has not made up its mind, and will not be long. */
static bool
is_undecided(const struct watcher *watcher, const struct finding *finding)
{
    const struct show_check *check = &engine_show(watcher->engine)->checks[finding->check->number];

    return !finding->life.frozen && finding->life.state == LIFE_RISING &&
           check->raise_after_s <= ENGINE_SHORT_HOLD_S;
}

static const enum cause_kind lifted[] = {[HIDDEN_BY_QUIET] = CAUSE_QUIETED,
                                         [HIDDEN_BY_RING_OUT] = CAUSE_RUNG_OUT,
                                         [HIDDEN_BY_MUTE] = CAUSE_UNMUTED,
                                         [HIDDEN_BY_ROOM] = CAUSE_ROOM};

/* What was held back until now is told as that, unless it only grew too heavy for the room. */
static void
hang_on_lifted(struct watcher *watcher, struct belief *belief, enum hidden hidden, int by)
{
    if (hidden == HIDDEN_NOT || (hidden == HIDDEN_BY_ROOM && by == (int)watcher->room))
        return;
    hang(watcher, belief, causes_begin(&watcher->causes, lifted[hidden], by, watcher->now_ms));
}

/* Per cause: what of it is due, and whether to wait on. */
struct waiting {
    size_t due, undecided;
    bool urgent;
};

bool
watcher_is_urgent(const struct finding *finding)
{
    static const enum weight from[] = {
        [URGENT_STOP] = WEIGHT_STOP, [URGENT_FIX] = WEIGHT_FIX, [URGENT_NOTE] = WEIGHT_NOTE};

    return finding->told_weight >= from[finding->check->urgency];
}

static void
count_waiting(struct watcher *watcher, struct waiting waiting[CAUSES_KEPT + 1])
{
    for (size_t i = 0; i < watcher->active_count; i++) {
        const struct finding *finding = engine_slot(watcher->engine, watcher->active[i]);
        struct belief *belief = &watcher->beliefs[finding->slot];
        enum hidden hidden = belief->hidden;
        int by = belief->hidden_by;
        struct edge edge;
        bool due = edge_of(watcher, finding, &edge);
        struct waiting *one;

        if (due && belief->cause >= 0 && watcher->causes.list[belief->cause].closed)
            hang(watcher, belief, -1); /* its message is out */
        if (due && edge.kind != EDGE_CLEARED)
            hang_on_lifted(watcher, belief, hidden, by);
        one = &waiting[belief->cause + 1];
        one->due += due;
        one->urgent |= due && edge.kind != EDGE_CLEARED && watcher_is_urgent(finding);
        one->undecided += is_undecided(watcher, finding);
    }
}

/* What is about to change by the same cause, where that is not held back. */
static bool
named_of(struct watcher *watcher, const struct finding *finding, struct edge *edge)
{
    const struct belief *belief = &watcher->beliefs[finding->slot];
    int by;

    if (finding->life.frozen)
        return false;
    *edge = (struct edge){EDGE_FOLLOWS, finding, 0};
    if (finding->life.state == LIFE_RISING && !belief->told)
        return is_undecided(watcher, finding) && finding->accept < 0 &&
               hidden_of(watcher, finding, &by) == HIDDEN_NOT;
    *edge = (struct edge){EDGE_ENDS, finding, watcher->now_ms - finding->since_ms};
    return finding->life.state == LIFE_EASING && belief->told;
}

void
watcher_say_protection(struct watcher *watcher, const struct telling *telling)
{
    size_t count = 0, due = 0;

    for (size_t i = 0; i < watcher->active_count; i++) {
        const struct finding *finding = engine_slot(watcher->engine, watcher->active[i]);
        struct edge *edge = &watcher->edges[count];
        bool is_due, is_next;

        if (!finding->check->protects)
            continue;
        is_due = edge_of(watcher, finding, edge);
        is_next = !is_due && named_of(watcher, finding, edge) && edge->kind == EDGE_FOLLOWS;
        due += is_due;
        count += is_due || is_next;
    }
    if (due > 0 || telling->always)
        say_now(watcher, telling, count);
}

static void
say_cause(struct watcher *watcher, int place)
{
    static const struct cause none = {.kind = CAUSE_NONE, .number = -1, .id = PARAMS};
    struct open_cause *cause = place >= 0 ? &watcher->causes.list[place] : NULL;
    size_t count = 0;

    for (size_t i = 0; i < watcher->active_count; i++) {
        const struct finding *finding = engine_slot(watcher->engine, watcher->active[i]);

        if (watcher->beliefs[finding->slot].cause != place)
            continue;
        if (edge_of(watcher, finding, &watcher->edges[count]) ||
            (place >= 0 && named_of(watcher, finding, &watcher->edges[count])))
            count++;
    }
    say(watcher, cause ? &cause->cause : &none, count, NULL);
    if (cause) {
        cause->closed = true;
        cause->due_ms = INT64_MAX;
    }
}

void
watcher_wake_at(struct watcher *watcher, int64_t at_ms)
{
    if (at_ms < watcher->next_ms)
        watcher->next_ms = at_ms;
}

void
watcher_say_due(struct watcher *watcher)
{
    struct waiting waiting[CAUSES_KEPT + 1] = {{0, 0, false}};

    count_waiting(watcher, waiting);
    for (int place = -1; place < CAUSES_KEPT; place++) {
        const struct waiting *one = &waiting[place + 1];
        struct open_cause *cause = place >= 0 ? &watcher->causes.list[place] : NULL;

        if (one->due == 0)
            continue;
        if (cause && cause->due_ms == INT64_MAX)
            cause->due_ms = watcher->now_ms;
        if (!cause || one->urgent || one->undecided == 0 ||
            watcher->now_ms - cause->due_ms >= WATCHER_GATHER_MS)
            say_cause(watcher, place);
        else
            watcher_wake_at(watcher, cause->due_ms + WATCHER_GATHER_MS);
    }
}

void
watcher_sweep(struct watcher *watcher)
{
    size_t kept = 0;

    for (size_t i = 0; i < watcher->active_count; i++) {
        size_t slot = watcher->active[i];
        const struct finding *finding = engine_slot(watcher->engine, slot);
        enum life_state state = finding->life.state;
        enum edge_kind kind;

        if (state == LIFE_RISING || state == LIFE_EASING || is_needed(watcher, finding, &kind)) {
            watcher->active[kept++] = slot;
            continue;
        }
        watcher->beliefs[slot].active = false;
        watcher->beliefs[slot].hidden = HIDDEN_NOT;
        hang(watcher, &watcher->beliefs[slot], -1);
    }
    watcher->active_count = kept;
}

void
watcher_believe_all(struct watcher *watcher)
{
    for (size_t i = 0; i < watcher->active_count; i++) {
        const struct finding *finding = engine_slot(watcher->engine, watcher->active[i]);
        struct edge edge = {finding->told ? EDGE_RAISED : EDGE_CLEARED, finding, 0};

        believe(watcher, &edge);
    }
}
