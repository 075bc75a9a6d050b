/* SPDX-License-Identifier: MIT */
/* A re-trim that forgot a send: preamp and most sends moved against each other since the desk was
 * approved, and what is left is to move the others, not to undo it all.
 */
#ifndef GAINWARDEN_RULES_FORGOTTEN_H
#define GAINWARDEN_RULES_FORGOTTEN_H

#include "advice/draft.h"

/* Where more of the preamp's open paths are as loud as on `from` than are another by what the head
 * moved alone, adds the moves that make those as loud as they were, too. False: it is no such
 * re-trim, and nothing is added. */
bool forgotten_sends(struct draft *draft, const struct desk *from, int input);

#endif
