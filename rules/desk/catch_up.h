/* SPDX-License-Identifier: MIT */
/* A copy of a desk that is brought up to date now and then, by whoever wants to know what moved
 * meanwhile: nothing on the way of a value to the desk has to tell him.
 */
#ifndef GAINWARDEN_RULES_CATCH_UP_H
#define GAINWARDEN_RULES_CATCH_UP_H

#include "desk/desk.h"

/* A copy that knows nothing of what the desk heard. For desk_free(). */
struct desk *desk_behind(const struct desk *now);

/* Called for each value that is another than in `behind`, or was not known there and is, or the
 * other way round; `behind` still has what was. False: not yet, nor any other. */
typedef bool desk_behind_fn(void *context, enum param_id id, int row, int column);

/* Takes the heard values of `now` over into the copy, which has the same counts. False where `each`
 * did not want all: the rest is found the next time. */
bool desk_catch_up(struct desk *behind, const struct desk *now, desk_behind_fn *each,
                   void *context);

#endif
