/* SPDX-License-Identifier: MIT */
/* How one watched desk stands, in the words of terminal, control socket and screen. */
#ifndef GAINWARDEN_WATCH_WORDS_H
#define GAINWARDEN_WATCH_WORDS_H

#include "base/clock.h"
#include "watcher/watcher.h"

struct watch_desk;

enum { WATCH_WORDS_SIZE = 200, WATCH_LEFT_SIZE = CLOCK_SIZE + 8 };

/* "1 stop, 4 fix, 6 note, 0 not known" */
const char *watch_count_open(struct engine *engine, char text[WATCH_WORDS_SIZE]);

/* "2155 values known, 0 stale" */
const char *watch_count_values(const struct engine *engine, char text[WATCH_WORDS_SIZE]);

/* "quieting 2 (re-patching)", "ring-out of mix 1", "room doors": what holds a finding back; and
 * the same of this one, now. */
const char *watch_hidden_by(const struct watch_desk *desk, enum hidden hidden, int by,
                            char text[WATCH_WORDS_SIZE]);
const char *watch_hidden(const struct watch_desk *desk, const struct finding *finding,
                         char text[WATCH_WORDS_SIZE]);

/* "held: ring-out of mix 1; ends in 1 min 52 s, unless something of it moves"; "" the same. */
const char *watch_held_text(const struct watch_desk *desk, char *line, size_t size);

/* "ends in 12 min"; "" for a room that does not end by itself. */
const char *watch_room_left(const struct watch_desk *desk, char text[WATCH_LEFT_SIZE]);

/* "quieting 2, mix 3: ends in 9 min 55 s, held back 1 (re-patching)" */
void watch_quiet_text(const struct quiet *quiet, int64_t now_ms, char *text, size_t size);

/* "3 messages wait for the hook, the oldest for 41 s: the hook answered 503; tried again in 12 s" */
struct chat;
const char *watch_hook_text(const struct chat *chat, char *line, size_t size);

#endif
