/* SPDX-License-Identifier: MIT */
/* From the gaps of each mix under each ceiling to what is left of the margin. */
#ifndef GAINWARDEN_RULES_FIGURES_H
#define GAINWARDEN_RULES_FIGURES_H

#include "proof/pair.h"
#include "proof/proof.h"

/* Of the mixes under one ceiling those that passed it the furthest, or came closest, -1: there is
 * none; and how many have a path that is not known. */
struct worst {
    int first, second;
    int unknown;
};

/* Rows by mix, one such list a ceiling after the other. */
struct figures {
    int ceilings, mixes;
    const struct proof_ceiling *kept;
    const enum sure *loops;  /* of the mixes */
    const struct row *now;   /* of the ceilings over the desk as it stands, */
    const struct row *left;  /* over what the ring-out left, NULL: not known */
    const struct row *since; /* of what it left over the desk as it stands, of one list */
    struct worst worst_now[PROOFS_MOST], worst_left[PROOFS_MOST]; /* of the ceilings; worked out */
    int pushed[PROOFS_MOST]; /* the mix whose push the ceiling is, -1: none; worked out */
};

/* The rows are others now. */
void figures_renew(struct figures *figures);

struct proof_mix figures_of_mix(const struct figures *figures, int mix);
struct proof_figure figures_of_desk(const struct figures *figures);

#endif
