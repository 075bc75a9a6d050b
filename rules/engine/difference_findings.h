/* SPDX-License-Identifier: MIT */
/* How the findings on one desk stand to those on another of the same counts. */
#ifndef GAINWARDEN_RULES_DIFFERENCE_FINDINGS_H
#define GAINWARDEN_RULES_DIFFERENCE_FINDINGS_H

#include "engine/engine.h"

enum finding_change {
    FINDING_NEW,
    FINDING_WORSE,
    FINDING_UNCHANGED, /* or better, but still there */
    FINDING_FIXED,
    FINDING_NOT_JUDGED, /* was there, and now its input is muted or a value is not known */
    FINDING_CHANGES
};

/* "new", "worse", ... */
const char *difference_finding_name(enum finding_change change);

/* Calls `each` for every check and object that has a finding in one of two engines that have run
 * and whose desks have the same counts. Accepted findings count as none. `then` or `now` is how
 * the object stands there, whether it is a finding or not. */
typedef void difference_finding_fn(void *context, enum finding_change change,
                                   const struct finding *then, const struct finding *now);
void difference_findings(const struct engine *then, const struct engine *now,
                         difference_finding_fn *each, void *context);

#endif
