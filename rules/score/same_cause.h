/* SPDX-License-Identifier: MIT */
/* Which findings have one cause: one card of the plan is for both, or both are about one control. */
#ifndef GAINWARDEN_RULES_SAME_CAUSE_H
#define GAINWARDEN_RULES_SAME_CAUSE_H

#include <stdbool.h>

#include "score/score.h"

bool same_cause(const struct desk *desk, const struct score_line *one,
                const struct score_line *other);

#endif
