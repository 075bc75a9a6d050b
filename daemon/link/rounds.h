/* SPDX-License-Identifier: MIT */
/* Which question of a steady desk is put next, of those that questions.h numbers. Two rounds go on
 * side by side without end: one over what protects, often, and one over the rest, slowly. Together
 * they keep to one budget, in which the later tries of lost questions count too: where it is short,
 * both rounds take longer, in proportion. A value that moved is asked again beside them, soon after
 * its last move: its push may have been overtaken by an older one, or a later one lost.
 *
 *             moved                no move for 300 ms, or 1 s over
 *   at rest --------> looked at --------------------------------------> due, and at rest again
 *                     every 100 ms
 *
 * Pure: it is told the time, in microseconds, and what happened.
 */
#ifndef GAINWARDEN_ROUNDS_H
#define GAINWARDEN_ROUNDS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "link/layout.h"

#define ROUNDS_SHARE 0.03     /* of the questions a second that the desk was read with */
#define ROUNDS_PROTECTS_S 3.0 /* how often what protects is asked where the budget allows it */

struct rounds;

/* How long a round takes. */
struct round_periods {
    int64_t protects_us, rest_us; /* 0: it has no questions */
};

/* Questions go by their numbers in the layout. */
struct rounds *rounds_new(const struct layout *layout);
void rounds_free(struct rounds *rounds);

/* Both rounds begin: `budget` questions a second, and no round is shorter than its wish. What
 * protects gets three quarters of a budget that is short, and what the rest does not want. */
void rounds_begin(struct rounds *rounds, double budget, struct round_periods wish, int64_t now_us);

/* The next question of a round that is due. False when none is. */
bool rounds_next(struct rounds *rounds, int64_t now_us, size_t *number);

/* While the whole desk is read, which may wait long for its last answers where much is lost, the
 * round over what protects goes on alone, outside the budget: its next question, when one is due,
 * and how long until then. False and -1 where there is none, and before rounds_begin(). */
bool rounds_next_protecting(struct rounds *rounds, int64_t now_us, size_t *number);
int64_t rounds_protecting_wait_us(const struct rounds *rounds, int64_t now_us);

/* A question left that no move was the reason for: a first or a later try. */
void rounds_asked(struct rounds *rounds, int64_t now_us);

/* How long until the budget lets one leave; 0: now. */
int64_t rounds_budget_wait_us(struct rounds *rounds, int64_t now_us);

/* How long until rounds_next() has one. */
int64_t rounds_wait_us(struct rounds *rounds, int64_t now_us);

/* A value moved that the question asks for. True when no other is looked at: the caller may sleep
 * past the look. */
bool rounds_moved(struct rounds *rounds, size_t number, int64_t now_us);

/* The next question to be asked again for a move. False when none is due. */
bool rounds_next_moved(struct rounds *rounds, int64_t now_us, size_t *number);

/* How long until a look at what moved; -1: nothing did. */
int64_t rounds_moved_wait_us(const struct rounds *rounds, int64_t now_us);

/* As they were planned, and as they are where losses make them longer. */
struct round_periods rounds_planned(const struct rounds *rounds);
struct round_periods rounds_periods(const struct rounds *rounds, int64_t now_us);

#endif
