/* SPDX-License-Identifier: MIT */
/* What moved on the desk since the checks last ran, so that the words of a finding can be made of
 * the desk that was judged, although another one is known by now.
 */
#ifndef GAINWARDEN_RULES_JOURNAL_H
#define GAINWARDEN_RULES_JOURNAL_H

#include "change/moves.h"

enum { JOURNAL_MOST = 4096 };

struct journal {
    struct moved *list; /* oldest first */
    size_t count, room;
    bool ended; /* it was full: it takes no more until it is cleared */
};

/* The value moved, from what it was. False when no more will be taken: whoever needs the desk as it
 * was has to look back now. */
bool journal_note(struct journal *journal, const struct moved *moved);

/* Gives the desk back what it had, and then what it has; what was heard when stays. */
void journal_back(struct journal *journal, struct desk *desk);
void journal_forth(struct journal *journal, struct desk *desk);

/* Everything was judged. */
void journal_clear(struct journal *journal);
void journal_release(struct journal *journal);

#endif
