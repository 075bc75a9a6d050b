/* SPDX-License-Identifier: MIT */
/* From the gaps of each mix under each ceiling to what is left of the margin. */
#ifndef GAINWARDEN_RULES_FIGURES_H
#define GAINWARDEN_RULES_FIGURES_H

#include "proof/pair.h"
#include "proof/proof.h"

/* Rows by mix, one such list a ceiling after the other. */
struct figures {
    int ceilings, mixes;
    const struct proof_ceiling *kept;
    const enum sure *loops;  /* of the mixes */
    const struct row *now;   /* of the ceilings over the desk as it stands, */
    const struct row *left;  /* over what the ring-out left, NULL: not known */
    const struct row *since; /* of what it left over the desk as it stands, of one list */
};

void figures_work_out(const struct figures *figures, struct proof_mix *of_mixes,
                      struct proof_figure *of_desk);

#endif
