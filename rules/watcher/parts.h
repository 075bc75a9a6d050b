/* SPDX-License-Identifier: MIT */
/* What watcher.c and watcher/tell.c share of the watcher, and nobody else sees. */
#ifndef GAINWARDEN_RULES_WATCHER_PARTS_H
#define GAINWARDEN_RULES_WATCHER_PARTS_H

#include "watcher/watcher.h"

/* What people believe of one finding. */
struct belief {
    bool told;          /* that it is open, */
    enum weight weight; /* and this bad */
    double severity;
    int64_t lasted_ms;  /* how long it was open, once it is clear */
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
    struct belief *beliefs;
    size_t *active; /* findings that wait to be told, or hang on a cause */
    size_t active_count;
    struct edge *edges;
    enum room room, room_before;
    int64_t room_until_ms;
    int64_t next_ms, now_ms;
    int64_t recall_ms; /* since when a recall goes on; INT64_MAX: none does */
    int64_t moved_ms;  /* last move of it */
    bool reading;
    bool begun;
};

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

/* Tells everything there is to tell, in one message of this cause; with nothing to tell only where
 * the cause is news by itself. */
void watcher_say_all(struct watcher *watcher, enum cause_kind kind, bool always);

/* What is open is on a page: people know it. */
void watcher_believe_all(struct watcher *watcher);

/* Lets go of what has nothing to be told and nothing to decide. */
void watcher_sweep(struct watcher *watcher);

#endif
