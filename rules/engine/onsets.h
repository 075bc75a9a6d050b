/* SPDX-License-Identifier: MIT */
/* What ring-outs measured, for the estimate of a stage plan (stage/measured.h). */
#ifndef GAINWARDEN_RULES_ONSETS_H
#define GAINWARDEN_RULES_ONSETS_H

#include "stage/measured.h"

struct proofs;

enum { ONSETS_MOST = 64 };

/* Of each kept ring whose path is known: its gain then or, where nobody noted that, what the highest
 * ceiling of its mix had there, and a step more. Returns how many. */
int onsets_of(const struct proofs *proofs, struct onset_measured onsets[ONSETS_MOST]);

#endif
