/* SPDX-License-Identifier: MIT */
/* Two lists of what moved, when one control was turned and when its fellow was: the two that are
 * one control of two objects. Whatever else moved meanwhile has no fellow. Pure.
 */
#ifndef GAINWARDEN_LISTEN_PAIR_H
#define GAINWARDEN_LISTEN_PAIR_H

#include "listen/place.h"

struct pair_list {
    const struct stirring_found *found;
    size_t count;
};

/* The likeliest; `which` of the second list it is. False with place->why, of the first two. */
bool pair_find(const struct place_of *of, const struct place_object objects[2],
               const struct pair_list lists[2], struct place *place, size_t *which);

#endif
