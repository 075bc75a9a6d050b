/* SPDX-License-Identifier: MIT */
/* The heartbeat file: its age tells whether the watch lives. */
#ifndef GAINWARDEN_WATCH_BEAT_H
#define GAINWARDEN_WATCH_BEAT_H

#include "loop/loop.h"

struct watch_desk;

struct beat {
    struct loop_timer *timer;
    bool failing; /* it cannot be written, and that was told */
};

/* Its time has come; the context is the desk. */
void beat_due(void *context);

/* Where the show file names one; else it stops. Again after a reload, which may name another. */
void beat_start(struct watch_desk *desk);

#endif
