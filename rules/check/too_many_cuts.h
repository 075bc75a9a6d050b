/* SPDX-License-Identifier: MIT */
/* What others need of the check too-many-cuts. */
#ifndef GAINWARDEN_RULES_TOO_MANY_CUTS_H
#define GAINWARDEN_RULES_TOO_MANY_CUTS_H

#include "desk/show.h"

/* The depth from which it counts a band as cut, as the show file sets it. */
double too_many_cuts_from_db(const struct show *show);

#endif
