/* SPDX-License-Identifier: MIT */
/* A desk that comes and goes: three losses within ten minutes are one story, which is told when it
 * begins, and when the desk has been there, or gone, for a minute.
 */
#ifndef GAINWARDEN_WATCH_FLAPPING_H
#define GAINWARDEN_WATCH_FLAPPING_H

#include "loop/loop.h"

enum {
    FLAPPING_LOSSES = 3,
    FLAPPING_STEADY_MS = 60 * 1000 /* after which the story is over, one way or the other */
};

struct flapping;

/* What one more loss is. */
enum flapping_loss {
    FLAPPING_NOT,    /* news by itself */
    FLAPPING_BEGINS, /* the last that is told */
    FLAPPING_ALREADY /* no news any more */
};

/* `over` is called when the desk has been the same for FLAPPING_STEADY_MS. */
struct flapping *flapping_new(struct loop *loop, loop_fn *over, void *context);
void flapping_free(struct flapping *flapping);

/* Notes a loss now. `may_begin`: the desk was there before. `within_ms` gets how long the losses of
 * a story that begins took. */
enum flapping_loss flapping_lost(struct flapping *flapping, bool may_begin, int64_t *within_ms);

/* How long ago the latest loss was. */
int64_t flapping_lost_for_ms(const struct flapping *flapping);

bool flapping_is_on(const struct flapping *flapping);

/* The link changed once more: the minute counts from now, while the story lasts. */
void flapping_wait(struct flapping *flapping);

/* The story is over. False when there was none. */
bool flapping_end(struct flapping *flapping);

#endif
