/* SPDX-License-Identifier: MIT */
/* What the room is doing, by the show file. */
#ifndef GAINWARDEN_WATCH_ROOM_H
#define GAINWARDEN_WATCH_ROOM_H

#include "desk/room.h"
#include "show/session.h"

struct watch_desk;

/* As the watch begins. */
enum room watch_first_room(const struct session *session);

/* The room does this from now on; changeover ends by itself. `for_s`: for so long; 0: as the show
 * file says. */
void watch_set_room(struct watch_desk *desk, enum room room, const char *why, double for_s);

#endif
