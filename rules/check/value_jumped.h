/* SPDX-License-Identifier: MIT */
/* Whether a level leapt upwards and stands there, for other checks: what such a leap did is told by
 * value-jumped alone. */
#ifndef GAINWARDEN_RULES_VALUE_JUMPED_H
#define GAINWARDEN_RULES_VALUE_JUMPED_H

#include "look/look.h"

/* A leap of this value that value-jumped counts, and that was not taken back. False where nothing
 * remembers leaps, and where that check is off. */
bool value_jumped_stands(const struct look *look, enum param_id id, int row);

#endif
