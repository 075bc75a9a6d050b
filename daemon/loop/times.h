/* SPDX-License-Identifier: MIT */
/* Where a loop has its times and its timers from: the system (loop.c), or a clock that stands
 * (stand.c). Chosen when the loop is made; for the files of loops alone.
 */
#ifndef GAINWARDEN_LOOP_TIMES_H
#define GAINWARDEN_LOOP_TIMES_H

#include "loop/loop.h"

/* Each is told `from`: whatever has the times. */
struct loop_times {
    int64_t (*now_us)(const void *from);
    int64_t (*woke_ms)(const void *from);
    struct loop_timer *(*open)(void *from, loop_fn *fn, void *context);
    void (*start)(struct loop_timer *timer, int64_t after_ms, int64_t repeat_ms);
    void (*stop)(struct loop_timer *timer);
    void (*close)(struct loop_timer *timer);
};

/* The first member of what they open. */
struct loop_timer {
    const struct loop_times *times;
};

/* From a struct stand. */
extern const struct loop_times stand_times;

#endif
