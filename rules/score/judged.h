/* SPDX-License-Identifier: MIT */
/* How each check on each object counts. */
#ifndef GAINWARDEN_RULES_JUDGED_H
#define GAINWARDEN_RULES_JUDGED_H

#include "score/score.h"

/* By slot of the engine. Free with free(). */
enum judged *judged_of(const struct engine *engine);

#endif
