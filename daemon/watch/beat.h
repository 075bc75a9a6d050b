/* SPDX-License-Identifier: MIT */
/* The heartbeat file: its age tells whether the watch lives. */
#ifndef GAINWARDEN_WATCH_BEAT_H
#define GAINWARDEN_WATCH_BEAT_H

struct beat;
struct watch_desk;

struct beat *beat_new(struct watch_desk *desk);
void beat_free(struct beat *beat);

/* Where the show file names one; else it stops. Again after a reload, which may name another. */
void beat_start(struct beat *beat);

#endif
