/* SPDX-License-Identifier: MIT */
/* Why a value of an answer was turned down, in words: law, range, parameter or run. */
#ifndef GAINWARDEN_LISTEN_WHY_H
#define GAINWARDEN_LISTEN_WHY_H

#include "core/text.h"
#include "link/unfold.h"

/* `unfolded` is there to work in. Nothing is written where every value is good. */
void why_refused(const struct profile *profile, const struct entry *entry,
                 const struct osc_message *message, struct unfolded *unfolded, struct text *text);

#endif
