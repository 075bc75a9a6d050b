/* SPDX-License-Identifier: MIT */
#include "watcher/parts.h"

#include <stdlib.h>

#include "core/need.h"

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
    watcher_say_anchored(watcher);
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
    watcher_wake_at(watcher, ring_out_pass(&watcher->ring_out, watcher->now_ms));
}

/* ---- running ---- */

void
watcher_run(struct watcher *watcher, int64_t now_ms)
{
    watcher->now_ms = now_ms;
    pass_time(watcher);
    switch (watcher_take_moves(watcher)) {
    case BURST_NOTHING:
        engine_run(watcher->engine, now_ms, watcher_on_event, watcher);
        watcher_say_due(watcher);
        break;
    case BURST_UNDECIDED:
        watcher_wait_out_burst(watcher);
        break;
    case BURST_RECALL:
        watcher_follow_recall(watcher);
        break;
    }
    quiets_look(&watcher->quiets, watcher->engine, now_ms);
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
        watcher_judge_at_once(watcher, &(struct telling){.kind = CAUSE_START});
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
        watcher_say_anchored(watcher);
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
    if (watcher->cut) { /* what it brought was meant, as far as anybody can tell */
        engine_anchor_levels(watcher->engine);
        watcher_say_anchored(watcher);
    }
    watcher->cut = false;
    watcher_drop_recall(watcher);
    watcher_judge_at_once(watcher, &(struct telling){.kind = CAUSE_BACK, .always = always});
    watcher_sweep(watcher);
    watcher_wake_at(watcher, engine_next_ms(watcher->engine));
}

void
watcher_lost(struct watcher *watcher)
{
    watcher->cut |= watcher_settling(watcher);
    watcher_drop_recall(watcher);
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
    burst_init(&watcher->burst);
    ring_out_init(&watcher->ring_out, desk_count(engine_desk(engine), INDEX_MIX));
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
    desk_free(watcher->recalled);
    ring_out_release(&watcher->ring_out);
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
    ring_out_carry(&watcher->ring_out, &from->ring_out);
    watcher->room = from->room;
    watcher->room_before = from->room_before;
    watcher->room_until_ms = from->room_until_ms;
    watcher->now_ms = from->now_ms;
    watcher->begun = from->begun;
    moves_carry(engine_moves(watcher->engine), engine_moves(from->engine));
    watcher_carry_recall(watcher, from);
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

/* ---- a ring-out ---- */

void
watcher_ring_out(struct watcher *watcher, const bool *mixes, int64_t now_ms)
{
    ring_out_begin(&watcher->ring_out, mixes, now_ms);
    watcher_wake_at(watcher, now_ms); /* what it held before may be told now */
}

void
watcher_end_ring_out(struct watcher *watcher, int64_t now_ms)
{
    ring_out_end(&watcher->ring_out);
    watcher_wake_at(watcher, now_ms);
}

bool
watcher_rings_out(const struct watcher *watcher, int mix)
{
    return ring_out_is_on(&watcher->ring_out) && watcher->ring_out.mixes[mix];
}

int64_t
watcher_ring_out_until_ms(const struct watcher *watcher)
{
    return ring_out_is_on(&watcher->ring_out) ? watcher->ring_out.until_ms : INT64_MAX;
}
