/* SPDX-License-Identifier: MIT */
/* How a card ends that puts things back. */
#ifndef GAINWARDEN_RULES_BACK_H
#define GAINWARDEN_RULES_BACK_H

#include "advice/draft.h"

/* As draft_end(), and says by how much it ends louder. */
bool back_end(struct draft *draft);

#endif
