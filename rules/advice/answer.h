/* SPDX-License-Identifier: MIT */
/* Which findings a card is for: the one it was made for, and those of its kind that it ends. */
#ifndef GAINWARDEN_RULES_ANSWER_H
#define GAINWARDEN_RULES_ANSWER_H

#include "advice/draft.h"

/* Notes in which mix each input's own send is found, before cards for masters are drafted: to look
 * again for each of them took most of the time of a large desk's plan. */
void answer_note_own_sends(struct planner *planner);

/* Notes what stands before the moves of the draft are made, as answered by it. */
void answer_before(struct planner *planner, const struct draft *draft);

/* Drops of those, from `first` on, what still stands behind them. */
void answer_after(struct planner *planner, const struct draft *draft, size_t first);

/* When everything goes back: notes each finding as answered by the first card behind which it is gone
 * or milder, whatever the card moved. */
void answer_all_back(struct planner *planner);

#endif
