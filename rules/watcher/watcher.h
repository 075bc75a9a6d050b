/* SPDX-License-Identifier: MIT */
/* What people are told of one desk, and when. Above the engine, which says what stands and what
 * not; below the sinks, which write it out.
 *
 * For each finding the watcher keeps what people believe: told open, or not. What the engine says
 * differs from that is to be told, unless something holds it back: the room, a quieting, a
 * ring-out, a muted mix, a recall that has not settled. That is asked here and not in the engine, whose edges
 * are the full record (JSON lines), while this is what people get. So nothing is told twice, and
 * what was held back is told when what held it back is over and it still stands. Held back is only
 * what begins or grows; what ends is told to those who know of it.
 *
 * What has one cause (cause.h) is one message: it waits until the findings that hang on the cause
 * have made up their minds, but not where one is urgent, and not longer than WATCHER_GATHER_MS.
 * What has not made up its mind by then is named in it, and told no more. Many values at once are a
 * recall (burst.h), which is told at once and its consequences when it has settled (recall.c).
 */
#ifndef GAINWARDEN_RULES_WATCHER_H
#define GAINWARDEN_RULES_WATCHER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "desk/room.h"
#include "engine/engine.h"
#include "watcher/cause.h"
#include "watcher/quiet.h"

enum {
    WATCHER_GATHER_MS = 5000,      /* what waits for company waits no longer */
    WATCHER_SETTLE_MS = 2000,      /* a recall is over when nothing moved for so long, */
    WATCHER_SETTLE_MOST_MS = 20000 /* and at the latest now */
};

enum edge_kind {
    EDGE_RAISED,
    EDGE_WORSE,
    EDGE_CLEARED,
    EDGE_FOLLOWS, /* about to be raised by the same cause: named now, told no more */
    EDGE_ENDS,    /* about to be cleared by the same cause, the same */
    EDGE_STAYS    /* that was said, and turned out otherwise: it was open all the while */
};

struct edge {
    enum edge_kind kind;
    const struct finding *finding; /* the engine's */
    int64_t lasted_ms;             /* below 0: it was named, and never open */
};

struct message {
    struct cause cause;
    const struct edge *edges; /* what leads first */
    size_t count;
    enum weight weight; /* the most of its edges and leaps; a message without any is a note */
    const struct desk *before, *after; /* of a recall: the desk before it, and now; else NULL */
    const struct leaps *leaps;         /* what it made leap up, and was not told; else NULL */
    size_t recall_values;              /* that it was told to have changed; 0: not yet */
};

enum hidden { HIDDEN_NOT, HIDDEN_BY_QUIET, HIDDEN_BY_RING_OUT, HIDDEN_BY_MUTE, HIDDEN_BY_ROOM };

/* Whoever listens. Nothing in a call may be kept. */
struct watcher_owner {
    /* One message for people. */
    void (*message)(void *context, const struct message *message);
    /* Every edge as it happens, told or held back, by whom (a quieting's number, a mix, a room).
     */
    void (*edge)(void *context, const struct event *event, enum hidden hidden, int by);
    /* The room does something else, for this reason. */
    void (*room)(void *context, enum room from, enum room to, const char *why);
    /* The desk as it stands is taken for set up. May be NULL. */
    void (*anchored)(void *context);
    engine_trace_fn *trace; /* NULL: nobody wants to know */
    void *context;
};

struct watcher_settings {
    size_t recall_values, recall_objects; /* so many at once are a recall */
};

struct watcher;

/* Watches over the engine, which outlives it. */
struct watcher *watcher_new(struct engine *engine, struct watcher_settings settings, enum room room,
                            struct watcher_owner owner);
void watcher_free(struct watcher *watcher);

/* A finding that people were told of before a restart. */
void watcher_restore(struct watcher *watcher, const struct told *told);

/* Takes over what an older watcher of other files knows: beliefs, quietings, the room. */
void watcher_carry(struct watcher *watcher, const struct watcher *from);

/* The whole desk was read for the first time. What is open counts as told, since a page of it all
 * is printed; a watch that was `away` tells the differences to what it knew. */
void watcher_begin(struct watcher *watcher, bool away, int64_t now_ms);

/* The whole desk was read again after it had been lost. `always`: that is a message also when
 * nothing changed meanwhile. */
void watcher_back(struct watcher *watcher, bool always, int64_t now_ms);

/* The desk is lost: nothing that was going on matters any more. */
void watcher_lost(struct watcher *watcher);

/* Takes the desk as it stands for set up. */
void watcher_anchor(struct watcher *watcher);

/* One wake-up: after values came, and when watcher_next_ms() says so. */
void watcher_run(struct watcher *watcher, int64_t now_ms);
int64_t watcher_next_ms(const struct watcher *watcher);

/* Nothing is undecided, and no recall goes on. */
bool watcher_is_calm(const struct watcher *watcher);

/* A recall goes on. `reading`: and the whole desk is being read because of it, so that it is not
 * over before that is. */
bool watcher_settling(const struct watcher *watcher);
void watcher_set_reading(struct watcher *watcher, bool reading);

enum room watcher_room(const struct watcher *watcher);

/* When that ends by itself; INT64_MAX: it does not. */
int64_t watcher_room_until_ms(const struct watcher *watcher);

/* `until_ms`: when it goes back to the one before, INT64_MAX: it stays. */
void watcher_set_room(struct watcher *watcher, enum room room, const char *why, int64_t until_ms,
                      int64_t now_ms);

/* Which one it goes back to then. */
enum room watcher_room_before(const struct watcher *watcher);
void watcher_set_room_before(struct watcher *watcher, enum room room);

struct quiets *watcher_quiets(struct watcher *watcher);

/* Somebody follows a ring-out of these mixes, a flag each, in place of any he followed before: see
 * ring_out.h. Again and again as long as he likes. */
void watcher_ring_out(struct watcher *watcher, const bool *mixes, int64_t now_ms);

/* Nobody does any more. */
void watcher_end_ring_out(struct watcher *watcher, int64_t now_ms);

/* Whether the mix is being rung out. */
bool watcher_rings_out(const struct watcher *watcher, int mix);

/* When that ends by itself, unless something of it moves; INT64_MAX: nothing is rung out. */
int64_t watcher_ring_out_until_ms(const struct watcher *watcher);

/* What holds back a finding that is not told; HIDDEN_NOT when it is told or to be told. */
enum hidden watcher_hidden(const struct watcher *watcher, const struct finding *finding, int *by);

/* It waits for no company: what leapt up, what lost protection, whatever can hurt somebody. */
bool watcher_is_urgent(const struct finding *finding);

/* People were told that it is open. */
bool watcher_is_told(const struct watcher *watcher, const struct finding *finding);

#endif
