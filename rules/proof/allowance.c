/* SPDX-License-Identifier: MIT */
#include "proof/allowance.h"

#include <math.h>

/* Provisional: what each kind took away at worst in simulated stages of 2 to 4 microphones and
 * wedges whose cuts were made with all open (1.7, 4.8, 3.1 and 5.4 dB), less the 1 dB by which a
 * figure may ever be above the truth. Not calibrated yet. */
static const struct {
    const char *name;
    double db;
} allowances[ALLOWANCES] = {
    [ALLOWANCE_CUT] = {"cut", 0.7},
    [ALLOWANCE_HIGH_PASS] = {"high-pass", 3.8},
    [ALLOWANCE_DOWN] = {"down", 2.1},
    [ALLOWANCE_CLOSED] = {"closed", 4.4},
};

const char *
allowance_name(enum allowance kind)
{
    return allowances[kind].name;
}

double
allowance_db(unsigned kinds)
{
    double sum_db = 0;

    for (int kind = 0; kind < ALLOWANCES; kind++)
        sum_db += kinds >> kind & 1 ? allowances[kind].db : 0;
    return fmin(sum_db, ALLOWANCE_MOST_DB);
}

void
movers_add(struct movers *movers, enum allowance kind, int input, int mix)
{
    if (movers->kinds >> kind & 1)
        return;
    movers->kinds |= 1u << kind;
    movers->of[kind] = (struct mover){input, mix};
}

void
movers_join(struct movers *movers, const struct movers *others)
{
    for (int kind = 0; kind < ALLOWANCES; kind++)
        if (others->kinds >> kind & 1)
            movers_add(movers, (enum allowance)kind, others->of[kind].input, others->of[kind].mix);
}
