/* SPDX-License-Identifier: MIT */
/* The desk as it stood RING_STANDS_MS ago, as long as all that moved since then was clear. What it
 * was begins anew with anything that was not.
 */
#ifndef GAINWARDEN_RULES_RING_STOOD_H
#define GAINWARDEN_RULES_RING_STOOD_H

#include "desk/desk.h"

struct stood_move {
    enum param_id id;
    int row, column;
    int64_t at_ms;
    struct value value; /* that it became */
};

struct stood {
    struct desk *desk;        /* owned */
    int64_t since_ms;         /* nothing unclear happened since */
    bool taken;               /* nothing moved in `desk` since stood_taken() */
    struct stood_move *moves; /* owned: later ones, the oldest first */
    int count, room;
};

/* Begins with the desk as it stands. A struct stood starts as {0}. */
void stood_begin(struct stood *stood, const struct desk *desk, int64_t now_ms);
void stood_release(struct stood *stood);

/* The value moved, and it is clear who moved it. */
void stood_moved(struct stood *stood, const struct desk *desk, enum param_id id, int row,
                 int column, int64_t now_ms);

/* NULL: it did not stand so long, or it was taken already. */
const struct desk *stood_desk(struct stood *stood, int64_t now_ms);
void stood_taken(struct stood *stood);

#endif
