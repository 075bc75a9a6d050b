/* SPDX-License-Identifier: MIT */
/* A ring-out that somebody follows: in the mixes being rung out gain goes up on purpose, and masters
 * come down before they are opened together. So margin-left and value-jumped of these mixes are held
 * back, and master-off-unity where it is below: nobody is to put up again what was brought down. Never
 * what weighs stop, never what reaches an in-ear mix or one of which nobody knows what it feeds, never
 * what reaches a mix that is not being rung out.
 *
 * It ends when whoever follows goes away, and by itself RING_OUT_MOST_MS after the last move of
 * what is being rung out. While somebody follows all the same, it begins again once such moves go on
 * for RING_OUT_GOES_ON_MS: one slip is over by then, and told.
 */
#ifndef GAINWARDEN_RULES_RING_OUT_H
#define GAINWARDEN_RULES_RING_OUT_H

#include <stdbool.h>
#include <stdint.h>

#include "change/moves.h"
#include "engine/engine.h"

enum { RING_OUT_MOST_MS = 2 * 60 * 1000, RING_OUT_GOES_ON_MS = 10 * 1000 };

struct ring_out {
    bool *mixes; /* which are rung out; owned, NULL: none ever were */
    int count;   /* of the desk's mixes */
    int64_t until_ms;

    bool followed;
    /* of its moves while it is over, each at most RING_OUT_MOST_MS after another */
    int64_t moves_since_ms, moved_ms;
};

/* Nothing is rung out on a desk of so many mixes. */
void ring_out_init(struct ring_out *ring_out, int mixes);
void ring_out_release(struct ring_out *ring_out);

void ring_out_begin(struct ring_out *ring_out, const bool *mixes, int64_t now_ms);
void ring_out_end(struct ring_out *ring_out);
void ring_out_carry(struct ring_out *ring_out, const struct ring_out *from);

static inline bool
ring_out_is_on(const struct ring_out *ring_out)
{
    return ring_out->until_ms != INT64_MIN;
}

/* A move of what is being rung out lets it last, or, with others, begin again. */
void ring_out_note(struct ring_out *ring_out, const struct move *move, int64_t now_ms);

/* Ends it when its time is over; when that is, INT64_MAX: it is not on. */
int64_t ring_out_pass(struct ring_out *ring_out, int64_t now_ms);

/* Whether it holds the finding back. */
bool ring_out_holds(const struct ring_out *ring_out, const struct engine *engine,
                    const struct finding *finding);

#endif
