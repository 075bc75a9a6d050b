/* SPDX-License-Identifier: MIT */
/* Marks for one setup: what each finding cost, group by group, and what was right. Pure: the same
 * findings and the same scheme give the same marks.
 */
#ifndef GAINWARDEN_RULES_SCORE_H
#define GAINWARDEN_RULES_SCORE_H

#include <stdbool.h>
#include <stddef.h>

#include "engine/engine.h"
#include "score/scheme.h"

/* Why a finding costs what it does. */
enum score_why {
    SCORE_COSTS,      /* as the scheme says */
    SCORE_CHECK_FULL, /* less, or nothing: its check has already cost the most it may */
    SCORE_GROUP_FULL, /* the same for its group */
    SCORE_SAME_CAUSE, /* nothing: another finding tells the same cause */
    SCORE_ACCEPTED    /* nothing: the show file accepts it */
};

struct score_line {
    const struct finding *finding; /* the engine's */
    int group;
    int alone_tenths; /* what it would cost by itself */
    int lost_tenths;
    enum score_why why;
    const struct finding *cause; /* for SCORE_SAME_CAUSE */
};

/* marks = earned + lost + open */
struct score_group {
    int earned_tenths, lost_tenths;
    int open_tenths; /* not assessed: what is not known might have cost so much, or checks that had
                        nothing to judge */
    size_t passed, unknown, closed; /* objects; closed: muted or sent nowhere, and not judged */
};

struct score {
    struct score_group groups[SCHEME_GROUPS], total;
    struct score_line *lines; /* in the engine's order: worst first */
    size_t line_count;
    size_t unmarked; /* open findings of checks that the scheme does not name */
};

/* For an engine that has run; its findings must outlive the score. Free
 * with score_free(). */
struct score *score_new(struct engine *engine, const struct scheme *scheme);
void score_free(struct score *score);

#endif
