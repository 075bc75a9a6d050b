/* SPDX-License-Identifier: MIT */
/* The one place that makes advice: what a desk should be set to, as cards, largest first.
 *
 * What moved away from a value that is known goes back there, and nothing else is advised for it.
 * All other cards are worked out for the desk as it stands behind those: each on the desk as the
 * cards before leave it, so two cards that move one control are never at odds; the later one rests
 * on the earlier. No card leads to a finding that was not there, none moves what the show file
 * accepts, none leaves a travel that the profile publishes.
 */
#ifndef GAINWARDEN_RULES_PLAN_H
#define GAINWARDEN_RULES_PLAN_H

#include "advice/card.h"
#include "check/check.h"
#include "look/look.h"

/* What is worth less than this is left out and counted. */
#define PLAN_LEAST_DB 3.0

/* A finding, and the card that is for it. */
struct plan_answer {
    int check;
    struct object object;
    size_t card;
};

struct plan {
    struct card *cards; /* in the order to do them */
    size_t count;
    struct card_stop *stops;
    size_t stop_count;
    size_t small; /* cards left out because they are worth less than PLAN_LEAST_DB */
    struct plan_answer *answers;
    size_t answer_count;
    bool asks_role; /* a preamp would be moved, but whether the house hears it too is not told */
};

/* What is planned besides. PLAN_ALL_BACK: every object that differs from the approved desk, which the
 * ground must have, goes back whatever the checks say of it, and nothing else is planned. What is
 * another offset alone stays. */
enum { PLAN_SMALL_TOO = 1, PLAN_ALL_BACK = 2 };

struct plan_wish {
    const struct ground *ground; /* of the caller, like all here */
    const struct check_set *set;
    int day;       /* on which accepts end, year * 10000 + month * 100 + day */
    unsigned ways; /* PLAN_SMALL_TOO: cards of any worth; PLAN_ALL_BACK */
};

/* Makes the plan. Free with plan_free(). */
struct plan *plan_new(const struct plan_wish *wish);
void plan_free(struct plan *plan);

/* The place of the card that a finding points to; PLAN_NO_CARD: its cure is a sentence. */
#define PLAN_NO_CARD ((size_t)-1)
size_t plan_card_of(const struct plan *plan, int check, struct object object);

/* The place of the first card that moves the control; PLAN_NO_CARD: none does. */
size_t plan_card_moving(const struct plan *plan, enum param_id id, int row, int column);

#endif
