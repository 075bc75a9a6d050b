/* SPDX-License-Identifier: MIT */
/* What an approval replaces: told before it is gone from the file. */
#ifndef GAINWARDEN_APPROVE_SINCE_H
#define GAINWARDEN_APPROVE_SINCE_H

#include <stdbool.h>

#include "engine/engine.h"
#include "saved/file.h"

/* Prints what changed between the desk as it was approved and the engine's: of one object, or of
 * all where it names none. */
void approve_since_print(struct engine *engine, const struct saved *old, struct object object);

/* Tells the findings of weight stop that stand and are not accepted, of one object or of all, on
 * standard error; how many there are. */
size_t approve_since_stops(struct engine *engine, struct object object);

/* Whose the value is; the desk's and the groups' have neither input nor mix. */
struct object approve_since_owner(enum param_id id, int row);

/* Whether the object names no input or mix, or is the same. */
bool approve_since_covers(struct object object, int input, int mix);

#endif
