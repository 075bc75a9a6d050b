/* SPDX-License-Identifier: MIT */
/* What a finding says in a few words, for the board. What is new says what the plan advises, and a
 * plan of a large desk takes its time: what it said stays for a second, unless the finding is another
 * meanwhile, however much moves beside it.
 */
#ifndef GAINWARDEN_WATCH_BOARD_BRIEF_H
#define GAINWARDEN_WATCH_BOARD_BRIEF_H

#include "watch/standing.h"

struct board_briefs;

struct board_briefs *board_briefs_new(void);
void board_briefs_free(struct board_briefs *briefs);

/* The desk has other files from now on. */
void board_briefs_forget(struct board_briefs *briefs);

void board_brief(const struct watch_desk *desk, const struct standing *one, struct brief *brief);

#endif
