/* SPDX-License-Identifier: MIT */
/* What watcher.c, watcher/recall.c and watcher/tell.c share of the watcher, and nobody else sees. */
#ifndef GAINWARDEN_RULES_WATCHER_PARTS_H
#define GAINWARDEN_RULES_WATCHER_PARTS_H

#include "watcher/burst.h"
#include "watcher/ring_out.h"
#include "watcher/watcher.h"

/* What people believe of one finding. */
struct belief {
    bool told;          /* that it is open, */
    enum weight weight; /* and this bad */
    double severity;
    bool ends;          /* that it is about to end, and it did not yet */
    int64_t lasted_ms;  /* how long it was open, once it is clear; -1: it never was */
    int cause;          /* it hangs on, in causes.list; -1: none */
    bool active;        /* stands in `active` */
    enum hidden hidden; /* what held it back when last looked at, */
    int hidden_by;
};

struct watcher {
    struct engine *engine;
    struct watcher_settings settings;
    struct watcher_owner owner;
    struct causes causes;
    struct quiets quiets;
    struct ring_out ring_out;
    struct belief *beliefs;
    size_t *active; /* findings that wait to be told, or hang on a cause */
    size_t active_count;
    struct edge *edges;
    enum room room, room_before;
    int64_t room_until_ms;
    int64_t next_ms, now_ms;
    struct burst burst;
    int64_t recall_ms;     /* since when a recall goes on; INT64_MAX: none does */
    int64_t moved_ms;      /* last move of it */
    size_t recall_values;  /* that it had changed when it was told, */
    struct desk *recalled; /* and the desk as it was then; NULL: none goes on */
    bool reading;
    bool cut; /* the desk was lost in the middle of one */
    bool begun;
};

/* What moved since the last wake-up goes into causes, or into a burst. */
enum burst_phase watcher_take_moves(struct watcher *watcher);

/* One wake-up while a burst is undecided, or a recall goes on. */
void watcher_wait_out_burst(struct watcher *watcher);
void watcher_follow_recall(struct watcher *watcher);

/* It is over without a word: the desk is lost. */
void watcher_drop_recall(struct watcher *watcher);

/* Goes on with that of an older watcher. */
void watcher_carry_recall(struct watcher *watcher, const struct watcher *from);

void watcher_say_anchored(struct watcher *watcher);

/* The engine's callbacks; `context` is the watcher. */
void watcher_on_trace(void *context, const struct finding *finding, enum life_state from,
                      enum life_state to, const char *why);
void watcher_on_event(void *context, const struct event *event);

/* Lets the finding be looked at in the next telling. */
void watcher_activate(struct watcher *watcher, size_t slot);

/* Wakes up again at this time at the latest. */
void watcher_wake_at(struct watcher *watcher, int64_t at_ms);

/* Tells what is due by its causes. */
void watcher_say_due(struct watcher *watcher);

/* A message about everything. */
struct telling {
    enum cause_kind kind;
    bool always;               /* it is news by itself, also with nothing to tell */
    const struct leaps *leaps; /* of a recall, else NULL */
    size_t recall_values;      /* as in its message */
};

/* Tells everything there is to tell, in one message. */
void watcher_say_all(struct watcher *watcher, const struct telling *telling);

/* Tells what protects no longer or does so again, and what is about to be lost. Without `always` only
 * where something is due. */
void watcher_say_protection(struct watcher *watcher, const struct telling *telling);

/* Judges without holds, since what is judged has settled, and tells it in one message. */
void watcher_judge_at_once(struct watcher *watcher, const struct telling *telling);

/* What is open is on a page: people know it. */
void watcher_believe_all(struct watcher *watcher);

/* Lets go of what has nothing to be told and nothing to decide. */
void watcher_sweep(struct watcher *watcher);

#endif
