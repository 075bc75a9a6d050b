/* SPDX-License-Identifier: MIT */
/* What the watcher finds, on its way: it is kept, and said. */
#ifndef GAINWARDEN_WATCH_NEWS_H
#define GAINWARDEN_WATCH_NEWS_H

#include "desk/room.h"
#include "show/session.h"

struct watch_desk;

/* A watcher over the session's engine, whose news the desk tells. */
struct watcher *watch_new_watcher(struct watch_desk *desk, struct session *session, enum room room);

#endif
