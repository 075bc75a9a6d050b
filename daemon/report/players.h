/* SPDX-License-Identifier: MIT */
/* Findings by the player they are for, so that each reads what is theirs in one piece: every page
 * takes its groups from here.
 */
#ifndef GAINWARDEN_PLAYERS_H
#define GAINWARDEN_PLAYERS_H

#include <stdbool.h>
#include <stddef.h>

#include "engine/engine.h"

struct player_finding {
    const struct finding *finding; /* of the caller, as are `at` and `rank` */
    size_t at;                     /* its number in the caller's list */
    size_t rank;                   /* the order of what is for one player; equal ones by `at` */
    char player[SHOW_NAME_SIZE];   /* "" when nothing tells */
    bool inferred;                 /* the name is a label's */
    size_t group;                  /* from 0 */
};

/* Finds whom each is for, and puts together what is for the same: players in the order in which
 * they came first. */
void players_group(const struct engine *engine, struct player_finding *list, size_t count);

/* Whether a group begins at the row. */
bool players_begin(const struct player_finding *list, size_t row);

/* The heading of a group. */
const char *players_title(const struct player_finding *finding);

#endif
