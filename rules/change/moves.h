/* SPDX-License-Identifier: MIT */
/* What moved on the desk lately, and what stood there before: one value that leaps, many that move
 * at once (a scene recall), and the desk as it was before they did.
 *
 * Meters are no settings and never stand here.
 */
#ifndef GAINWARDEN_RULES_MOVES_H
#define GAINWARDEN_RULES_MOVES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "desk/desk.h"

enum {
    MOVES_KEPT = 512,         /* distinct values */
    MOVES_TOGETHER_MS = 1000, /* so close together they count as at once */
    MOVES_LEAP_MS = 400,      /* steps of one value within this time are one leap */
    JUMPS_KEPT = 64
};

/* One value that moved; a value stands here once. */
struct move {
    enum param_id id;
    int row, column;
    double from, to; /* of the leap it is in; 0 for texts */
    int64_t first_ms, last_ms;
    int64_t gap_ms; /* between the leap and when the value was last heard before it */
    bool unseen;    /* the value was not known before it: nobody saw the way */
    bool fresh;     /* it moved since moves_taken() */
};

/* Where a value is another now, and what it was. */
struct moved {
    enum param_id id;
    int row, column;
    struct value before;
};

/* A leap upwards, until it was taken back or has stood for long. */
struct jump {
    enum param_id id;
    int row, column;
    double from, to; /* dB */
    int64_t at_ms, gap_ms;
    bool unseen; /* while the desk was lost, perhaps in small steps */
};

struct moves;

/* The desk as it stands is the one before any move. */
struct moves *moves_new(const struct desk *desk);
void moves_free(struct moves *moves);

/* A known value became another; `desk` holds it already. */
void moves_note(struct moves *moves, const struct desk *desk, const struct moved *moved,
                int64_t now_ms);

/* Values first heard are no moves, but belong to the desk as it was before the next ones. */
void moves_first(struct moves *moves, const struct desk *desk, enum param_id id, int row,
                 int column);

/* Lets go of moves that are older than MOVES_TOGETHER_MS: they have become what stood before. Until
 * then, and while this is not called, the desk before them stays, also where there are more moves
 * than MOVES_KEPT. */
void moves_age(struct moves *moves, const struct desk *desk, int64_t now_ms);

/* Those not let go yet, in no order. */
const struct move *moves_list(const struct moves *moves, size_t *count);

/* Whether one of them is fresh. */
bool moves_are_fresh(const struct moves *moves);

/* Whoever looks at the list has seen what is fresh in it. */
void moves_taken(struct moves *moves);

/* What moved at once: settings other than mutes and the inputs' and groups' faders, which one hand
 * can move together. */
struct moves_count {
    size_t values;
    size_t objects; /* inputs, mixes and groups they are of */
    size_t late;    /* of the values: moved after `late_ms` */
    bool scene;     /* the scene's name moved as well */
};
struct moves_count moves_count(struct moves *moves, int64_t late_ms);

/* The desk before the moves that were not let go. */
const struct desk *moves_before(const struct moves *moves);

/* What moved is let go as it stands. Jumps stay: what they did has just been told, and is not to be
 * told once more under another name. */
void moves_settle(struct moves *moves, const struct desk *desk);

const struct jump *moves_jumps(const struct moves *moves, size_t *count);

/* Goes up whenever the jumps are others. */
unsigned moves_jumps_version(const struct moves *moves);

/* Takes over a jump of before a restart, which is no part of anything that happens now. False, and
 * it is left out, when this desk can have no such. */
bool moves_restore_jump(struct moves *moves, const struct jump *jump, int64_t now_ms);

/* Takes over everything of the desk as it was watched with other files, as far as both have it. */
void moves_carry(struct moves *moves, const struct moves *from);

/* Forgets the jumps since then: they were a recall's, and no slips. */
void moves_drop_jumps(struct moves *moves, int64_t since_ms);

/* Forgets the jumps older than before_ms and calls `each` for them. One whose value is not known on
 * `desk` stays: silence has not left it standing. */
typedef void moves_jump_fn(void *context, const struct jump *jump);
void moves_forget_jumps(struct moves *moves, const struct desk *desk, int64_t before_ms,
                        moves_jump_fn *each, void *context);

#endif
