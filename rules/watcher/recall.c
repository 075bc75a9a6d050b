/* SPDX-License-Identifier: MIT */
/* A recall: one message as soon as it is known to be one, with what it took away of protection and
 * its largest leaps; what it takes away of protection later, at once; and when nothing of it moves
 * any more, what followed. Nothing else is judged meanwhile: half a recall proves nothing.
 */
#include "watcher/parts.h"

#include "change/difference.h"
#include "check/value_jumped.h"
#include "desk/room.h"

enum { SECOND_MS = 1000 };

/* Whether more of it moves than moved before it began. */
static bool
goes_on(struct watcher *watcher)
{
    struct moves *moves = engine_moves(watcher->engine);
    struct moves_count count = moves_count(moves, watcher->now_ms - SECOND_MS);

    return burst_stands_out(&watcher->burst, count.late);
}

static void
note_causes(struct watcher *watcher)
{
    const struct move *list;
    size_t count;

    list = moves_list(engine_moves(watcher->engine), &count);
    for (size_t i = 0; i < count; i++)
        if (list[i].fresh)
            causes_note(&watcher->causes, engine_desk(watcher->engine), &list[i], watcher->now_ms);
}

static void
note_ring_out(struct watcher *watcher)
{
    const struct move *list;
    size_t count;

    list = moves_list(engine_moves(watcher->engine), &count);
    for (size_t i = 0; i < count && watcher->ring_out.followed; i++)
        if (list[i].fresh)
            ring_out_note(&watcher->ring_out, &list[i], watcher->now_ms);
}

enum burst_phase
watcher_take_moves(struct watcher *watcher)
{
    struct moves *moves = engine_moves(watcher->engine);
    const struct burst_least least = {watcher->settings.recall_values,
                                      watcher->settings.recall_objects};
    struct moves_count count;

    if (watcher->burst.phase == BURST_NOTHING)
        moves_age(moves, engine_desk(watcher->engine), watcher->now_ms);
    if (!watcher_settling(watcher)) {
        note_causes(watcher);
        count = moves_count(moves, burst_late_ms(watcher->now_ms));
        burst_look(&watcher->burst, &count, &least, watcher->now_ms);
    } else if (goes_on(watcher)) {
        watcher->moved_ms = watcher->now_ms;
    }
    note_ring_out(watcher);
    moves_taken(moves);
    return watcher->burst.phase;
}

static void
judge_protection(struct watcher *watcher)
{
    engine_run_protection(watcher->engine, watcher->now_ms, watcher_on_event, watcher);
}

void
watcher_wait_out_burst(struct watcher *watcher)
{
    judge_protection(watcher);
    watcher_wake_at(watcher, burst_next_ms(&watcher->burst, watcher->now_ms));
}

/* ---- what it did ---- */

bool
watcher_settling(const struct watcher *watcher)
{
    return watcher->recall_ms != INT64_MAX;
}

bool
watcher_is_calm(const struct watcher *watcher)
{
    return watcher->burst.phase == BURST_NOTHING && !watcher_settling(watcher);
}

void
watcher_set_reading(struct watcher *watcher, bool reading)
{
    watcher->reading = reading;
}

static size_t
changed_values(const struct watcher *watcher)
{
    return difference_all(moves_before(engine_moves(watcher->engine)), engine_desk(watcher->engine),
                          NULL, NULL)
        .values;
}

/* What leapt since, and is worth a word in this room. */
static struct leaps
leaps_since(const struct watcher *watcher, const struct desk *before)
{
    const struct room_row *room = &room_rows[watcher->room];
    struct leaps leaps = {.from = room->from_weight, .high = room->setting_up};

    engine_leaps(watcher->engine, before, &leaps);
    return leaps;
}

static void
begin_recall(struct watcher *watcher)
{
    struct leaps leaps = leaps_since(watcher, moves_before(engine_moves(watcher->engine)));

    watcher->recall_ms = watcher->moved_ms = watcher->now_ms;
    engine_hush_spectra(watcher->engine, watcher->now_ms);
    moves_drop_jumps(engine_moves(watcher->engine), watcher->burst.begun_ms - BURST_SAMPLE_MS);
    watcher->recall_values = changed_values(watcher);
    watcher->recalled = desk_copy(engine_desk(watcher->engine));
    causes_close_all(&watcher->causes);
    watcher_say_protection(
        watcher, &(struct telling){.kind = CAUSE_RECALL, .always = true, .leaps = &leaps});
}

/* Nothing is another than it was: there is nothing to tell. */
static void
end_unsaid(struct watcher *watcher)
{
    watcher_drop_recall(watcher);
    moves_settle(engine_moves(watcher->engine), engine_desk(watcher->engine));
    watcher_wake_at(watcher, watcher->now_ms);
}

static void
end_recall(struct watcher *watcher)
{
    size_t values = changed_values(watcher);
    struct leaps leaps = leaps_since(watcher, watcher->recalled);
    struct telling telling = {.kind = CAUSE_SETTLED,
                              .always = values != watcher->recall_values || leaps.count > 0,
                              .leaps = &leaps,
                              .recall_values = watcher->recall_values};

    watcher_drop_recall(watcher);
    engine_hush_spectra(watcher->engine, watcher->now_ms);
    engine_anchor_levels(watcher->engine);
    watcher_say_anchored(watcher);
    watcher_judge_at_once(watcher, &telling);
}

static int64_t
settled_at_ms(const struct watcher *watcher)
{
    int64_t still_ms = watcher->moved_ms + WATCHER_SETTLE_MS;
    int64_t most_ms = watcher->recall_ms + WATCHER_SETTLE_MOST_MS;

    return watcher->reading || still_ms > most_ms ? most_ms : still_ms;
}

void
watcher_follow_recall(struct watcher *watcher)
{
    if (watcher_settling(watcher) && settled_at_ms(watcher) <= watcher->now_ms) {
        end_recall(watcher);
        return;
    }
    judge_protection(watcher);
    if (watcher_settling(watcher))
        watcher_say_protection(watcher, &(struct telling){.kind = CAUSE_LATER});
    else if (changed_values(watcher) == 0) {
        end_unsaid(watcher);
        return;
    } else
        begin_recall(watcher);
    watcher_wake_at(watcher, settled_at_ms(watcher));
}

void
watcher_drop_recall(struct watcher *watcher)
{
    if (watcher_settling(watcher))
        moves_drop_jumps(engine_moves(watcher->engine), watcher->recall_ms);
    burst_forget(&watcher->burst);
    watcher->recall_ms = INT64_MAX;
    desk_free(watcher->recalled);
    watcher->recalled = NULL;
}

void
watcher_carry_recall(struct watcher *watcher, const struct watcher *from)
{
    watcher->burst = from->burst;
    watcher->recall_ms = from->recall_ms;
    watcher->moved_ms = from->moved_ms;
    watcher->recall_values = from->recall_values;
    watcher->cut = from->cut;
    if (!from->recalled)
        return;
    watcher->recalled = desk_copy(engine_desk(watcher->engine));
    desk_carry(watcher->recalled, from->recalled);
}
