/* SPDX-License-Identifier: MIT */
/* A clock that stands until somebody moves it, and the timers that go by it: what a recording is
 * replayed with, as fast as the processor goes. A loop made with one (loop.h) has its times and
 * timers from it; timers are fired by whoever moves the clock.
 */
#ifndef GAINWARDEN_STAND_H
#define GAINWARDEN_STAND_H

#include <stdint.h>

struct stand;

/* It stands at 0. */
struct stand *stand_new(void);

/* All its timers must be closed. */
void stand_free(struct stand *stand);

int64_t stand_now_ms(const struct stand *stand);

/* Moves the clock on, never back. `woke_ms`: when what happens now came in, as loop_woke_ms(). */
void stand_move(struct stand *stand, int64_t now_ms, int64_t woke_ms);

/* When the next timer is due; INT64_MAX: none is started. */
int64_t stand_next_ms(const struct stand *stand);

/* Calls the timer that is due next. */
void stand_fire(struct stand *stand);

#endif
