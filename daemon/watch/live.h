/* SPDX-License-Identifier: MIT */
/* A watch over a real desk: everything it has outside. watch/replay.h does without. */
#ifndef GAINWARDEN_WATCH_LIVE_H
#define GAINWARDEN_WATCH_LIVE_H

#include "watch/shared.h"

extern const struct watch_way watch_live;

#endif
