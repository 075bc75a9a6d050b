/* SPDX-License-Identifier: MIT */
/* What the room is doing, and what may interrupt it then.
 */
#ifndef GAINWARDEN_RULES_ROOM_H
#define GAINWARDEN_RULES_ROOM_H

#include <stdbool.h>

#include "core/verdict.h"

enum room { ROOM_LINE_CHECK, ROOM_DOORS, ROOM_SHOW, ROOM_CHANGEOVER, ROOMS };

struct room_row {
    enum weight from_weight; /* findings of less weight are held back */
    bool setting_up; /* the desk is being set up: when it ends, it is taken as it stands, and what
                        leaps up to its place is work */
    const char *help;
};

extern const struct room_row room_rows[ROOMS];

/* "line-check", "doors", ...: as PARAM_DESK_ROOM spells them. */
const char *room_name(enum room room);

/* ROOMS when none is called so. */
enum room room_find(const char *name);

#endif
