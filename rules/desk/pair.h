/* SPDX-License-Identifier: MIT */
/* Two mixes side by side that feed the two ears of one player. */
#ifndef GAINWARDEN_RULES_PAIR_H
#define GAINWARDEN_RULES_PAIR_H

#include "desk/desk.h"
#include "desk/show.h"

/* The other ear of an in-ear mix, or -1. They are neighbours, and their labels are the same but for
 * left and right; or the show file gives both to one player. */
int pair_of(const struct desk *desk, const struct show *show, int mix);

#endif
