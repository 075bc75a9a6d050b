/* SPDX-License-Identifier: MIT */
/* The screen of a watch for those who look at it from elsewhere, over the control sockets of its
 * desks: a view (screen/view_json.h) when something changed, at most FOLLOW_MOST_A_S times a second,
 * and once a second anyway. Nothing is made while nobody looks.
 */
#ifndef GAINWARDEN_WATCH_FOLLOW_H
#define GAINWARDEN_WATCH_FOLLOW_H

#include "base/json.h"
#include "loop/loop.h"

struct watch_desk;
struct follow;

/* What is followed over a control socket: this, or the desk itself (relay.h). */
enum { FOLLOWS_SCREEN = 1, FOLLOWS_RING_OUT };

enum { FOLLOW_MOST_A_S = 4 };

/* The desks of the watch, which may still be opened; both outlive it. */
struct follow *follow_new(struct loop *loop, struct watch_desk *const *desks, int count);
void follow_free(struct follow *follow);

/* Something changed, or somebody begins to look; before the loop sleeps. */
void follow_news(struct follow *follow);

/* What he gets first who asks over that desk's socket; the desk is the one that is chosen. */
struct json *follow_view(const struct follow *follow, const struct watch_desk *desk);

/* The last they hear: the watch ends. */
void follow_end(struct follow *follow);

#endif
