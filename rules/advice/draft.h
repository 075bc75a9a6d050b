/* SPDX-License-Identifier: MIT */
/* A card in the making, and who makes which. */
#ifndef GAINWARDEN_RULES_DRAFT_H
#define GAINWARDEN_RULES_DRAFT_H

#include "advice/planner.h"

/* A card in the making. */
struct draft {
    struct planner *planner;
    struct held_cause cause;
    struct card card;
    size_t room;
    bool stopped; /* it cannot be made, and the plan says why */
};

/* Begins a card about the object, for a finding of the check. */
void draft_begin(struct draft *draft, struct planner *planner, enum card_kind kind, int check,
                 struct object object);

/* Adds a move of a control to a value; none where it stands there. */
void draft_move(struct draft *draft, enum param_id id, int row, int column, double to);

/* The card rests on what the control reads: where an earlier card moves it, it stands in this one as
 * a move to where it is, so that whoever left that card out leaves this one out too. */
void draft_expect(struct draft *draft, enum param_id id, int row, int column);

/* The card goes less far than it would; the plan says why. */
void draft_short(struct draft *draft, enum stop_reason reason, enum param_id id, int row,
                 int column);

/* Adds to what the plan says of cards that are not made; one reason for each. */
void draft_say_stop(struct plan *plan, struct card_stop stop);

/* The card is not made; the plan says why. */
void draft_stop(struct draft *draft, enum stop_reason reason, enum param_id id, int row,
                int column);

/* The card raises an input by so much: its peaks must not come within 6 dB of full scale, where the
 * desk publishes them, and else somebody has to watch. */
void draft_raise_input(struct draft *draft, int input, double up_db);

/* Ends the card: its moves are put in order and made on the planner's desk. False, and nothing is
 * moved, where it was stopped, moves nothing, is worth too little, or would not help: what it is
 * for stands behind it as before. */
bool draft_end(struct draft *draft);

/* The makers, each for all objects. */
void plan_put_back(struct planner *planner);
void plan_slips(struct planner *planner);
void plan_margins(struct planner *planner);
void plan_rings(struct planner *planner);
void plan_masters(struct planner *planner);
void plan_trims(struct planner *planner);
void plan_taps(struct planner *planner);
void plan_softer(struct planner *planner);

#endif
