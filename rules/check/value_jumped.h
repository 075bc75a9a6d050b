/* SPDX-License-Identifier: MIT */
/* Whether a level leapt upwards and stands there, for other checks, which leave it to value-jumped to
 * tell what such a leap did, and for whoever puts it back. */
#ifndef GAINWARDEN_RULES_VALUE_JUMPED_H
#define GAINWARDEN_RULES_VALUE_JUMPED_H

#include "core/sure.h"
#include "look/look.h"

/* A leap of this value that value-jumped counts, and that was not taken back. No where nothing
 * remembers leaps, and where that check is off. */
enum sure value_jumped_stands(const struct look *look, enum param_id id, int row);

/* Whether value-jumped tells the leap, with the settings of the show: it counts, into something
 * open, and nobody took it back or had made up for it. */
struct jump;
bool value_jumped_is_slip(const struct ground *ground, const struct jump *jump);

#endif
