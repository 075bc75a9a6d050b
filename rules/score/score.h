/* SPDX-License-Identifier: MIT */
/* Marks for one setup: what each finding cost, group by group, what was right, and how much was
 * there to be judged. Pure: the same findings, plan and scheme give the same marks.
 *
 * The marks of a group are shared out among its checks by their `most`. Of a check's share so much
 * is assessed as objects of it were judged:
 *
 *   assessed = marks x sum(most x judged / (judged + not judged)) / sum(most)
 *
 * Findings take from that; what is left was earned. What the show file accepts takes from it too,
 * but is not lost: with the rest of the marks it is neither.
 */
#ifndef GAINWARDEN_RULES_SCORE_H
#define GAINWARDEN_RULES_SCORE_H

#include <stdbool.h>
#include <stddef.h>

#include "advice/plan.h"
#include "engine/engine.h"
#include "score/scheme.h"

/* How a check on one object counts. */
enum judged {
    JUDGED_NOT_ASKED,       /* it has nothing to say of the object, or the player wants it so */
    JUDGED_RIGHT,           /* earned */
    JUDGED_WRONG,           /* a line of the score */
    JUDGED_TOLD_BY_ANOTHER, /* by the line of another check */
    JUDGED_ACCEPTED,        /* wrong, but the show file accepts it */
    JUDGED_CLOSED,          /* not judged: nothing goes through it, */
    JUDGED_UNTOUCHED,       /* nobody touched the equaliser of the mix, */
    JUDGED_NOT_KNOWN,       /* or a value was not known */
    JUDGED_COUNT
};

/* Why a finding costs what it does. */
enum score_why {
    SCORE_COSTS,      /* as the scheme says */
    SCORE_CHECK_FULL, /* less, or nothing: its check has already cost the most it may */
    SCORE_GROUP_FULL, /* the same for its group */
    SCORE_SAME_CAUSE  /* nothing: another line has the same cause */
};

struct score_line {
    const struct finding *finding; /* the engine's */
    size_t card;                   /* of the plan, that is for it; PLAN_NO_CARD: none is */
    int group;
    int alone_tenths; /* what it would cost by itself */
    int lost_tenths;  /* of what is accepted: neither earned nor lost */
    enum score_why why;
    const struct finding *cause; /* for SCORE_SAME_CAUSE */
};

/* marks = earned + lost + open */
struct score_group {
    int earned_tenths, lost_tenths;
    int open_tenths;         /* not assessed */
    size_t of[JUDGED_COUNT]; /* checks on objects */
};

struct score {
    struct score_group groups[SCHEME_GROUPS], total;
    struct score_line *lines; /* in the engine's order, worst first; behind them what is accepted */
    size_t line_count, all_count;  /* the same, and with what is accepted */
    size_t unmarked;               /* open findings of checks that the scheme does not name */
    size_t stops;                  /* open findings of weight stop, of whatever check */
    const struct finding **wishes; /* what a player wants so in the own ears */
    size_t wish_count;
    enum judged *judged;             /* by slot of the engine, */
    size_t of[CHECKS][JUDGED_COUNT]; /* and how often of each check */
};

/* For an engine that has run, and the plan for its desk; its findings must outlive the score. Free
 * with score_free(). */
struct score *score_new(struct engine *engine, const struct plan *plan,
                        const struct scheme *scheme);
void score_free(struct score *score);

/* Per cent of what was assessed that was earned; NAN: nothing was assessed. */
double score_percent(const struct score_group *group);

/* Per cent of the marks that were assessed. */
double score_assessed_percent(const struct score_group *group);

/* Why a setup may not pass; both may be. */
enum { SCORE_HAS_STOP = 1, SCORE_TOO_LITTLE = 2 };
unsigned score_no_pass(const struct score *score, const struct scheme *scheme);

#endif
