/* SPDX-License-Identifier: MIT */
/* What the screen shows of one desk. */
#ifndef GAINWARDEN_WATCH_VIEW_H
#define GAINWARDEN_WATCH_VIEW_H

#include "screen/view.h"

struct watch_desk;

/* The lists are given back with the other. */
void watch_desk_view(struct watch_desk *desk, struct view_desk *view);
void watch_desk_view_free(struct view_desk *view);

#endif
