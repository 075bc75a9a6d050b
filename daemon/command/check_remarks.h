/* SPDX-License-Identifier: MIT */
/* What may be amiss in a profile that is good: entries in vain, addresses without a slash, and what
 * the checks need that it does not give.
 */
#ifndef GAINWARDEN_CHECK_REMARKS_H
#define GAINWARDEN_CHECK_REMARKS_H

#include "profile/profile.h"

/* A line for each, none where there is nothing to say. */
void check_remarks(const struct profile *profile, FILE *to);

#endif
