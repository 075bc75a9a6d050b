/* SPDX-License-Identifier: MIT */
/* What to do, in the order to do it: cards, and findings whose cure is a sentence.
 *
 * What weighs most comes first. A card weighs as much as the heaviest finding that it answers, and
 * at least as much as each card that rests on it, so it stands before those. Of one weight the cards
 * come first, in the order of the plan.
 */
#ifndef GAINWARDEN_STEPS_H
#define GAINWARDEN_STEPS_H

#include "report/findings.h"

struct step {
    enum weight weight;
    size_t card;                 /* its place in the plan; PLAN_NO_CARD: the cure is a sentence */
    const struct finding *first; /* the worst that it is for; NULL: a card that is for none */
};

/* How many there are. *steps is for free(). */
size_t steps_of(const struct report_findings *findings, struct step **steps);

/* Whether the step is for the finding, an open one. */
bool step_is_for(const struct report_findings *findings, const struct step *step,
                 const struct finding *finding);

/* Whether it is only to know: a note without a card. */
bool step_is_to_know(const struct step *step);

/* The action in a few words: "input 18 Ld Vox: preamp 42 → 28, 7 sends up 14 dB". */
enum { STEP_ACTION_SIZE = 900 };
const char *step_action(const struct report_findings *findings, const struct step *step,
                        char says[STEP_ACTION_SIZE]);

#endif
