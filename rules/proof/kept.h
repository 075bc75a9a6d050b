/* SPDX-License-Identifier: MIT */
/* What is kept of the ring-outs of one show. */
#ifndef GAINWARDEN_RULES_PROOF_KEPT_H
#define GAINWARDEN_RULES_PROOF_KEPT_H

#include "desk/desk.h"
#include "desk/show.h"

enum { PROOF_AT_SIZE = 32, PROOFS_MOST = 64 }; /* of ceilings, and of rings */

/* When, by whom; "" where not said. */
struct proof_made {
    int64_t now_ms; /* `at` on the clock by which the desk's values were heard; 0 when read */
    char at[PROOF_AT_SIZE]; /* RFC 3339 */
    char by[SHOW_NAME_SIZE], note[SHOW_WHY_SIZE];
};

struct proof_ceiling {
    struct desk *desk;
    int mix;        /* the one it was proved for with the others closed, -1: all together */
    double step_db; /* its resolution: by how much it may lie below what was reached */
    struct proof_made made;
};

/* Something rang. */
struct proof_ring {
    double hz;
    int mix, input; /* input -1: not known which */
    double gain_db; /* of that path at the ring, at hz; NAN: not known */
    struct proof_made made;
};

/* All that is kept of the ring-outs of one show. */
struct proofs {
    struct proof_ceiling *ceilings;
    int ceiling_count;
    struct proof_ring *rings;
    int ring_count;
    struct desk *left; /* as the last ring-out left it; NULL: not known */
    struct proof_made left_made;
};

#endif
