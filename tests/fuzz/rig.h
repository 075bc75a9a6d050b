/* SPDX-License-Identifier: MIT */
/* What the fuzz targets share: a small desk, ways to fill it, and what must hold of a desk model
 * and of an engine whatever came in.
 */
#ifndef GAINWARDEN_FUZZ_RIG_H
#define GAINWARDEN_FUZZ_RIG_H

#include <stdio.h>

#include "engine/engine.h"
#include "profile/profile.h"

/* The profile beside the targets; ends the program when it does not load. */
struct profile *rig_small_desk(void);

/* Takes what is printed and keeps nothing. */
FILE *rig_nowhere(void);

/* An engine on a new desk of the profile; `show` belongs to it, NULL: a show that says nothing. */
struct engine *rig_engine(const struct profile *profile, struct show *show);

enum rig_values { RIG_USUAL, RIG_LEAST, RIG_MOST };

/* Every value the desk can give is heard: usual ones with labels that checks know, or each control
 * at an end of its travel. */
void rig_fill(struct engine *engine, enum rig_values values, int64_t now_ms);

/* Fails unless every value that was ever heard may stand for its parameter, and every text is
 * clean.
 */
void rig_check_desk(const struct desk *desk);

/* Fails unless each such value lies in the range of the entry that gives it; for a profile in which
 * only one does. */
void rig_check_ranges(const struct profile *profile, const struct desk *desk);

/* Runs the marked checks and looks at every event and finding. Returns how many events were told.
 */
size_t rig_run(struct engine *engine, int64_t now_ms);

/* Fails when a check would now say something else than when it last ran: then a change went by
 * unmarked. Asks every check about every object. */
void rig_check_marks(const struct engine *engine);

#endif
