/* SPDX-License-Identifier: MIT */
#include "watcher/parts.h"

#include <stdlib.h>

#include "core/need.h"

enum { RECALL_SCENE_VALUES = 4 }; /* with another scene's name so few are enough */

/* ---- recalls ---- */

static bool
is_recall(const struct watcher *watcher, const struct move *list, size_t count)
{
    size_t objects, values = moves_at_once(engine_moves(watcher->engine), &objects);
    bool scene = false;

    for (size_t i = 0; i < count; i++)
        scene |= list[i].id == PARAM_DESK_SCENE;
    return (scene && values >= RECALL_SCENE_VALUES) ||
           (values >= watcher->settings.recall_values &&
            objects >= watcher->settings.recall_objects);
}

/* Takes what moved since the last wake-up into causes, or into a recall. */
static void
note_moves(struct watcher *watcher)
{
    struct moves *moves = engine_moves(watcher->engine);
    const struct desk *desk = engine_desk(watcher->engine);
    const struct move *list;
    size_t count;

    list = moves_list(moves, &count);
    if (watcher->recall_ms == INT64_MAX && is_recall(watcher, list, count)) {
        watcher->recall_ms = watcher->now_ms;
        watcher->moved_ms = watcher->now_ms;
    }
    for (size_t i = 0; i < count; i++) {
        if (!list[i].fresh)
            continue;
        if (watcher->recall_ms == INT64_MAX)
            causes_note(&watcher->causes, desk, &list[i], watcher->now_ms);
        else
            watcher->moved_ms = watcher->now_ms;
    }
    moves_taken(moves);
    if (watcher->recall_ms == INT64_MAX)
        moves_age(moves, desk, watcher->now_ms);
}

bool
watcher_settling(const struct watcher *watcher)
{
    return watcher->recall_ms != INT64_MAX;
}

void
watcher_set_reading(struct watcher *watcher, bool reading)
{
    watcher->reading = reading;
}

static int64_t
settled_at_ms(const struct watcher *watcher)
{
    int64_t still_ms = watcher->moved_ms + WATCHER_SETTLE_MS;
    int64_t most_ms = watcher->recall_ms + WATCHER_SETTLE_MOST_MS;

    return watcher->reading || still_ms > most_ms ? most_ms : still_ms;
}

/* Judges without holds, since what is judged has settled, and tells it in one message. */
static void
judge_at_once(struct watcher *watcher, enum cause_kind kind, bool always)
{
    causes_close_all(&watcher->causes);
    engine_hold(watcher->engine, false);
    engine_run(watcher->engine, watcher->now_ms, watcher_on_event, watcher);
    engine_hold(watcher->engine, true);
    watcher_say_all(watcher, kind, always);
    moves_settle(engine_moves(watcher->engine), engine_desk(watcher->engine));
}

static void
say_anchored(struct watcher *watcher)
{
    if (watcher->owner.anchored)
        watcher->owner.anchored(watcher->owner.context);
}

static void
end_recall(struct watcher *watcher)
{
    watcher->recall_ms = INT64_MAX;
    engine_anchor_levels(watcher->engine);
    say_anchored(watcher);
    judge_at_once(watcher, CAUSE_RECALL, true);
}

/* ---- room ---- */

enum room
watcher_room(const struct watcher *watcher)
{
    return watcher->room;
}

int64_t
watcher_room_until_ms(const struct watcher *watcher)
{
    return watcher->room_until_ms;
}

enum room
watcher_room_before(const struct watcher *watcher)
{
    return watcher->room_before;
}

void
watcher_set_room_before(struct watcher *watcher, enum room room)
{
    if (!room_rows[room].setting_up)
        watcher->room_before = room;
}

void
watcher_anchor(struct watcher *watcher)
{
    engine_anchor(watcher->engine);
    say_anchored(watcher);
}

void
watcher_set_room(struct watcher *watcher, enum room room, const char *why, int64_t until_ms,
                 int64_t now_ms)
{
    enum room from = watcher->room;

    watcher->room_until_ms = until_ms;
    watcher_wake_at(watcher, until_ms < now_ms ? now_ms : until_ms);
    if (room == from)
        return;
    if (!room_rows[from].setting_up)
        watcher->room_before = from;
    watcher->room = room;
    if (room_rows[from].setting_up && !room_rows[room].setting_up && watcher->begun)
        watcher_anchor(watcher);
    watcher->owner.room(watcher->owner.context, from, room, why);
    watcher_wake_at(watcher, now_ms); /* what was held back may be told now */
}

static void
pass_time(struct watcher *watcher)
{
    watcher->next_ms = INT64_MAX;
    if (watcher->room_until_ms <= watcher->now_ms)
        watcher_set_room(watcher, watcher->room_before, "its time is over", INT64_MAX,
                         watcher->now_ms);
    watcher_wake_at(watcher, watcher->room_until_ms);
    watcher_wake_at(watcher, quiets_pass(&watcher->quiets, watcher->now_ms));
}

/* ---- running ---- */

void
watcher_run(struct watcher *watcher, int64_t now_ms)
{
    watcher->now_ms = now_ms;
    pass_time(watcher);
    note_moves(watcher);
    if (watcher_settling(watcher) && settled_at_ms(watcher) > now_ms) {
        watcher_wake_at(watcher, settled_at_ms(watcher));
        return;
    }
    if (watcher_settling(watcher)) {
        end_recall(watcher);
    } else {
        engine_run(watcher->engine, now_ms, watcher_on_event, watcher);
        watcher_say_due(watcher);
    }
    watcher_sweep(watcher);
    causes_age(&watcher->causes, now_ms);
    watcher_wake_at(watcher, engine_next_ms(watcher->engine));
}

int64_t
watcher_next_ms(const struct watcher *watcher)
{
    return watcher->next_ms;
}

void
watcher_begin(struct watcher *watcher, bool away, int64_t now_ms)
{
    bool gained;

    watcher->now_ms = now_ms;
    pass_time(watcher);
    watcher->begun = away;
    if (away) {
        judge_at_once(watcher, CAUSE_START, false);
    } else {
        engine_hold(watcher->engine, false);
        engine_run(watcher->engine, now_ms, watcher_on_event, watcher);
        engine_hold(watcher->engine, true);
        watcher_believe_all(watcher);
    }
    watcher->begun = true;
    gained = !engine_anchored(watcher->engine);
    if (gained)
        engine_anchor_before_leaps(watcher->engine);
    else /* it is from before a restart */
        gained = engine_anchor_gained(watcher->engine);
    if (gained)
        say_anchored(watcher);
    moves_settle(engine_moves(watcher->engine), engine_desk(watcher->engine));
    watcher_sweep(watcher);
    watcher_wake_at(watcher, engine_next_ms(watcher->engine));
    watcher_wake_at(watcher, now_ms); /* the anchor marks what reads it */
}

void
watcher_back(struct watcher *watcher, bool always, int64_t now_ms)
{
    watcher->now_ms = now_ms;
    pass_time(watcher);
    watcher->recall_ms = INT64_MAX;
    judge_at_once(watcher, CAUSE_BACK, always);
    watcher_sweep(watcher);
    watcher_wake_at(watcher, engine_next_ms(watcher->engine));
}

void
watcher_lost(struct watcher *watcher)
{
    watcher->recall_ms = INT64_MAX;
    causes_close_all(&watcher->causes);
}

/* ---- making and unmaking ---- */

struct watcher *
watcher_new(struct engine *engine, struct watcher_settings settings, enum room room,
            struct watcher_owner owner)
{
    struct watcher *watcher = need_memory(1, sizeof *watcher);
    size_t slots = engine_slots(engine) + 1;

    *watcher = (struct watcher){.engine = engine,
                                .settings = settings,
                                .owner = owner,
                                .room = room,
                                .room_before = room_rows[room].setting_up ? ROOM_DOORS : room,
                                .room_until_ms = INT64_MAX,
                                .next_ms = INT64_MAX,
                                .recall_ms = INT64_MAX};
    causes_init(&watcher->causes);
    watcher->beliefs = need_memory(slots, sizeof *watcher->beliefs);
    watcher->active = need_memory(slots, sizeof *watcher->active);
    watcher->edges = need_memory(slots, sizeof *watcher->edges);
    engine_remember(engine);
    for (size_t i = 0; i < slots; i++)
        watcher->beliefs[i].cause = -1;
    engine_trace(engine, watcher_on_trace, watcher);
    engine_hold(engine, true);
    return watcher;
}

void
watcher_free(struct watcher *watcher)
{
    if (!watcher)
        return;
    free(watcher->beliefs);
    free(watcher->active);
    free(watcher->edges);
    free(watcher);
}

void
watcher_restore(struct watcher *watcher, const struct told *told)
{
    size_t slot = engine_restore(watcher->engine, told);
    struct belief *belief = &watcher->beliefs[slot];

    if (slot == engine_slots(watcher->engine))
        return;
    belief->told = true;
    belief->weight = told->weight;
    belief->severity = told->severity;
    watcher_activate(watcher, slot);
}

void
watcher_carry(struct watcher *watcher, const struct watcher *from)
{
    watcher->quiets = from->quiets;
    watcher->room = from->room;
    watcher->room_before = from->room_before;
    watcher->room_until_ms = from->room_until_ms;
    watcher->now_ms = from->now_ms;
    watcher->begun = from->begun;
    moves_carry_jumps(engine_moves(watcher->engine), engine_moves(from->engine));
    engine_carry_levels(watcher->engine, from->engine);
    for (size_t i = 0; i < engine_slots(from->engine); i++) {
        const struct finding *finding = engine_slot(from->engine, i);
        size_t slot = engine_find(watcher->engine, finding->check->number, finding->object);

        if (slot == engine_slots(watcher->engine))
            continue;
        watcher->beliefs[slot] = from->beliefs[i];
        watcher->beliefs[slot].cause = -1;
        watcher->beliefs[slot].active = false;
        watcher_activate(watcher, slot);
    }
    watcher_wake_at(watcher, from->now_ms);
}

struct quiets *
watcher_quiets(struct watcher *watcher)
{
    return &watcher->quiets;
}
