/* SPDX-License-Identifier: MIT */
/* How one watched desk stands, in the words of terminal, control socket and screen. */
#ifndef GAINWARDEN_WATCH_WORDS_H
#define GAINWARDEN_WATCH_WORDS_H

#include "watcher/watcher.h"

enum { WATCH_WORDS_SIZE = 200 };

/* "1 stop, 4 fix, 6 note, 0 not known" */
const char *watch_count_open(struct engine *engine, char text[WATCH_WORDS_SIZE]);

/* "quieting 2 (re-patching)", "mix 3 Keys is muted", "room doors": what holds a finding back. */
const char *watch_hidden_by(struct watcher *watcher, struct engine *engine, enum hidden hidden,
                            int by, char text[WATCH_WORDS_SIZE]);

/* "quieting 2, mix 3: ends in 9 min 55 s, held back 1 (re-patching)" */
void watch_quiet_text(const struct quiet *quiet, int64_t now_ms, char *text, size_t size);

#endif
