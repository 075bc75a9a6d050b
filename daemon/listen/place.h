/* SPDX-License-Identifier: MIT */
/* From two controls of a kind that were turned to the entry for all of them: where they differ is
 * the index. Pure.
 */
#ifndef GAINWARDEN_LISTEN_PLACE_H
#define GAINWARDEN_LISTEN_PLACE_H

#include "base/json.h"
#include "desk/desk.h"
#include "listen/stirring.h"

enum { PLACE_WHY_SIZE = 200 };

/* What was turned, counted from 0; -1: there is no such index. */
struct place_object {
    int row, column;
};

/* A control: its parameter, and how many the desk has of each. */
struct place_of {
    enum param_id param;
    struct desk_counts counts;
};

struct place {
    char address[2 * ADDRESS_SIZE];      /* with placeholders */
    enum index_kind keys[STIRRING_KEYS]; /* arguments that are indexes; INDEX_NONE: anything */
    enum index_kind each;                /* the value is a run along this; else INDEX_NONE */
    struct stirring_at at;               /* one of the two */
    int argument;                        /* the value's, or where the run begins */
    int first;                           /* the number of the first */
    char why[PLACE_WHY_SIZE];            /* it is none */
};

/* The two objects that tell most: the first, and one that differs from it in each index, in each by
 * another number where the desk has as many. */
void place_objects(const struct place_of *of, struct place_object objects[2]);

/* False, with the reason, where the two are no controls of a kind. */
bool place_find(const struct place_of *of, const struct stirring_at at[2],
                const struct place_object objects[2], struct place *place);

/* Where the value comes alone, or as a run, it may be asked for at its own address: that of the
 * first object, which nobody turns any more. */
bool place_may_be_asked(const struct place *place);

/* Its entry; `value` becomes its value's, or part of it. `asks`: the desk answers at the address
 * that is asked. */
struct json *place_entry(const struct place *place, struct json *value, bool asks);

#endif
