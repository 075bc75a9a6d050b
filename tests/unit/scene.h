/* SPDX-License-Identifier: MIT */
/* A random desk with its show, and perhaps as it was approved before hands were on it: every fault
 * that a card is made for, in any mixture, published ends and none, steps, shared preamps, unknown
 * values.
 */
#ifndef GAINWARDEN_TESTS_SCENE_H
#define GAINWARDEN_TESTS_SCENE_H

#include "advice/plan.h"
#include "check/check.h"
#include "unit.h"

enum { SCENE_INPUTS = 4, SCENE_MIXES = 3 };

struct scene {
    struct desk *desk, *approved;
    struct show *show;
    struct accept accept;
};

struct scene scene_random(struct dice *dice);
void scene_free(struct scene *scene);

/* Sets a value; the desk must take it. */
void scene_put(struct desk *desk, enum param_id id, int row, int column, double number);

/* Makes the move, of a preamp on every input that it feeds. */
void scene_apply(struct desk *desk, const struct card_move *move);

/* What is advised for the scene with that desk. For plan_free(). */
struct plan *scene_plan(const struct scene *scene, const struct desk *desk);

/* Whether the check finds something that is not accepted. */
bool scene_finds(const struct scene *scene, const struct desk *desk, int check,
                 struct object object);

/* Whether the check finds on `after` what it did not on `base`, nor when the scene was approved. */
bool scene_is_new(const struct scene *scene, const struct desk *base, const struct desk *after,
                  int check, struct object object);

#endif
