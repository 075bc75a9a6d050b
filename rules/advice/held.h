/* SPDX-License-Identifier: MIT */
/* What the show file accepts stays as it is. */
#ifndef GAINWARDEN_RULES_HELD_H
#define GAINWARDEN_RULES_HELD_H

#include <stdbool.h>

#include "core/verdict.h"
#include "desk/param.h"
#include "desk/show.h"

/* Whether an accept that has not ended by `day` covers the finding. */
bool held_covers(const struct show *show, int day, int check, struct object object,
                 const struct verdict *verdict);

/* What a card is made for: its accepts do not count, since one that covered it would have kept the
 * card from being thought of. */
struct held_cause {
    int check;
    struct object object;
};

/* Whether the control stands as the accept has it, which has not ended by `day`: the check that is
 * accepted there would have it moved. */
bool held_control(const struct accept *accept, int day, struct held_cause cause, enum param_id id,
                  int row, int column);

/* Whether a cure of the check moves the control. */
bool held_is_moved_for(int check, enum param_id id);

#endif
