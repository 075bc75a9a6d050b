/* SPDX-License-Identifier: MIT */
/* Which inputs and mixes can be part of a loop at all: where nobody knows, it counts. */
#ifndef GAINWARDEN_RULES_COUNTED_H
#define GAINWARDEN_RULES_COUNTED_H

#include "core/sure.h"
#include "desk/desk.h"
#include "desk/show.h"

/* It is no line source; by the show file, else by its label. Of an unused one nobody knows what is
 * plugged in once it is open. */
enum sure counted_input(const struct desk *desk, const struct show *show, int input);

/* It feeds a loudspeaker; likewise. */
enum sure counted_mix(const struct desk *desk, const struct show *show, int mix);

#endif
