/* SPDX-License-Identifier: MIT */
/* A watch over a small desk, on a clock that stands: what it keeps goes into no file. Both mixes are
 * wedges that input 1 is sent into; the master of mix 1 is off unity from the beginning.
 */
#ifndef GAINWARDEN_TESTS_WATCHED_RIG_H
#define GAINWARDEN_TESTS_WATCHED_RIG_H

#include "loop/stand.h"
#include "watch/handles.h"
#include "watch/replay.h"

struct watched {
    struct stand *stand;
    struct watch_shared shared;
    struct watch_past past;
    struct options options;
    struct session session;
    struct watch_desk *desk;
};

/* It was read, and is judged. */
void watched_open(struct watched *watched);
void watched_close(struct watched *watched);

/* A value is heard now; it is judged when time passes. */
void watched_set(struct watched *watched, enum param_id id, int row, int column, double number);

/* All that a leap rests on is known: every gain is 0. */
void watched_tell_gains(struct watched *watched);

void watched_pass(struct watched *watched, int64_t ms);

#endif
