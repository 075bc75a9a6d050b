/* SPDX-License-Identifier: MIT */
/* What the room is doing, by the show file. */
#ifndef GAINWARDEN_WATCH_ROOM_H
#define GAINWARDEN_WATCH_ROOM_H

#include <stdint.h>

#include "desk/room.h"
#include "show/session.h"

struct watch_desk;

/* As the watch begins. */
enum room watch_first_room(const struct session *session);

/* Until when what the room begins now lasts: changeover ends by itself. `for_s` 0: as the show file
 * says. */
int64_t watch_room_until_ms(const struct watch_desk *desk, enum room room, double for_s);

#endif
