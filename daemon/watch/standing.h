/* SPDX-License-Identifier: MIT */
/* What stands against one desk, in the order in which people look at it: what is fresh first, and
 * of that what is urgent; then by weight; within a weight the newest first, and of what began
 * together what is one person's stands together.
 */
#ifndef GAINWARDEN_WATCH_STANDING_H
#define GAINWARDEN_WATCH_STANDING_H

#include "engine/engine.h"

struct watch_desk;

enum { STANDING_FRESH_MS = 60 * 1000 };

/* An open finding that is not accepted. */
struct standing {
    const struct finding *finding;
    bool fresh;  /* newer than a minute, or new since the room changed, */
    bool urgent; /* and told at once (watcher.h) */
    int quieted; /* the number of the quieting that holds it, told before or not; 0: none does */
    char player[SHOW_NAME_SIZE];
};

/* All of them, for free(). Valid until the desk is judged again. */
struct standing *standing_list(const struct watch_desk *desk, size_t *count);

/* It rests on what is not known now; an input that is muted is no missing value, and such a
 * finding is closed. */
bool standing_is_stale(const struct watch_desk *desk, const struct finding *finding);
bool standing_is_closed(const struct watch_desk *desk, const struct finding *finding);

#endif
