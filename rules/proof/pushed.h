/* SPDX-License-Identifier: MIT */
/* What one mix's own push says of it. A push is a ceiling that this mix alone rose to, with all
 * else as the ring-out left it: the very desk that is asked about stood so. Under a ceiling of all
 * together the others are lower by as much as this one rises, and what they cancelled in the room
 * is not; so it may promise more than the push found, and the push is believed. A mix that was not
 * pushed may have so much less than all together proved.
 */
#ifndef GAINWARDEN_RULES_PUSHED_H
#define GAINWARDEN_RULES_PUSHED_H

#include "proof/figures.h"

/* So much less a mix may have that was not pushed: others cancel a part of the loop. By
 * tests/stage/test_bound.py: of 948 mixes of 400 random stages none stood more than 0.31 dB above the
 * truth without its push, one of a hundred others did by 0.98 (GW_SEED=503). */
#define PUSHED_LESS_DB 1.0

/* Finds the pushes; none where it is not known what was left. */
void pushed_find(struct figures *figures);

/* By how much less there may be than this ceiling leaves the mix; 0 where it was pushed itself, has no
 * others beside it, or it is not known what was left. */
double pushed_less_db(const struct figures *figures, int ceiling, int mix);

/* The ceiling that counts for the mix in one of the lists: its best push where that leaves less than
 * this one, else this one. A ceiling with the others closed is its own witness. */
int pushed_instead(const struct figures *figures, const struct row *rows, int ceiling, int mix);

#endif
