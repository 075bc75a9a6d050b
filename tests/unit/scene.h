/* SPDX-License-Identifier: MIT */
/* A random desk with its show, and perhaps as it was approved before hands were on it: every fault
 * that a card is made for, in any mixture, published ends and none, steps, shared preamps, unknown
 * values.
 */
#ifndef GAINWARDEN_TESTS_SCENE_H
#define GAINWARDEN_TESTS_SCENE_H

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

#endif
