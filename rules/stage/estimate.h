/* SPDX-License-Identifier: MIT */
/* The stage plan beside one desk, for the checks: worked out once for the desk as it stands, when it
 * is first asked for.
 */
#ifndef GAINWARDEN_RULES_ESTIMATE_H
#define GAINWARDEN_RULES_ESTIMATE_H

#include "stage/margin.h"
#include "stage/measured.h"

struct estimate;

/* Both must outlive it; the show has a plan. */
struct estimate *estimate_new(const struct desk *desk, const struct show *show);
void estimate_free(struct estimate *estimate);

/* The desk may be another than when it was last asked. */
void estimate_renew(struct estimate *estimate);

/* What was measured, which outlives it; until then nothing was. */
void estimate_measured(struct estimate *estimate, const struct onset_measured *onsets, int count);

const struct desk *estimate_desk(const struct estimate *estimate);

/* Valid until it is renewed. */
const struct loops *estimate_loops(struct estimate *estimate);

/* Of the whole stage, phases at random. */
const struct margin *estimate_margin(struct estimate *estimate);

/* The gain of its loudest path, dB; -HUGE_VAL: no loop is closed. */
double estimate_first_db(struct estimate *estimate);

#endif
