/* SPDX-License-Identifier: MIT */
/* The watch over one desk: its link, when its checks run, and what is told of it. */
#ifndef GAINWARDEN_WATCH_DESK_H
#define GAINWARDEN_WATCH_DESK_H

#include "watch/shared.h"

/* Begins to watch; shared and session outlive it. `show`: the show file's path, or NULL. NULL, told
 * on standard error, when a sink or the kept file cannot be used as it stands. */
struct watch_desk *watch_desk_open(const struct watch_shared *shared, struct session *session,
                                   const char *show);
void watch_desk_close(struct watch_desk *desk);

/* Before the loop sleeps. */
void watch_desk_before_sleep(struct watch_desk *desk);

/* Says that it still watches, and what is open. */
void watch_desk_still(struct watch_desk *desk);

/* Once a minute: the date may have changed, and what ends by itself lasts less. */
void watch_desk_minute(struct watch_desk *desk);

/* Tells what is still to be told, and that the watch ends; nothing after that. */
void watch_desk_stop(struct watch_desk *desk, int64_t lasted_ms);

/* Nothing waits for the chat hook that it would take. */
bool watch_desk_idle(const struct watch_desk *desk);

/* In one line how it stands. */
void watch_desk_status(const struct watch_desk *desk, char line[400]);

/* SIGHUP: files are read anew, and those that are written are opened anew. */
void watch_desk_hang_up(struct watch_desk *desk);

#endif
