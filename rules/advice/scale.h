/* SPDX-License-Identifier: MIT */
/* What a value that differs from another desk weighs: as the checks weigh it that look for drift and
 * for lost protection, were it the only one that differs; one step more where it makes a path into a
 * loudspeaker or an ear louder, by as much as those checks ask for.
 */
#ifndef GAINWARDEN_RULES_SCALE_H
#define GAINWARDEN_RULES_SCALE_H

#include "change/effect.h"
#include "check/check.h"

struct scale;

/* A scale for the desk and the show of the ground, beside the desk of the offsets before. All must
 * outlive it. Free with scale_free(). */
struct scale *scale_new(const struct ground *ground, const struct check_set *set,
                        const struct offsets *offsets);
void scale_free(struct scale *scale);

/* The weight of one value that differs, and is no part of another offset. */
enum weight scale_weigh(struct scale *scale, enum param_id id, int row, int column);

#endif
