/* SPDX-License-Identifier: MIT */
/* When one desk is judged: as soon as something changed, when the watcher has something to do, and
 * never while the desk is being read, since half a desk proves nothing.
 */
#ifndef GAINWARDEN_WATCH_JUDGE_H
#define GAINWARDEN_WATCH_JUDGE_H

#include "loop/loop.h"

struct watch_desk;

struct judge {
    struct loop_timer *wake;
    double told_room; /* what PARAM_DESK_ROOM was last; -1: never heard */
    bool begun;       /* the desk was read for the first time; link.c says so */
    int64_t stood_ms; /* what is open since then or longer stood when the evening began */
};

/* Something is due; the context is the desk. */
void judge_due(void *context);

/* Something changed that is not judged yet, or moved: also what no check reads tells a recall from
 * traffic. */
bool watch_has_more(const struct watch_desk *desk);

bool watch_may_judge(const struct watch_desk *desk);

/* Judges, tells, keeps, and sleeps until there is more. */
void watch_run(struct watch_desk *desk);

/* Sleeps until the watcher has something to do. */
void watch_sleep(struct watch_desk *desk);

#endif
