/* SPDX-License-Identifier: MIT */
/* `gainwarden watch --join SHOW`: the screen of a watch that runs already, drawn here. */
#ifndef GAINWARDEN_WATCH_JOIN_H
#define GAINWARDEN_WATCH_JOIN_H

#include "base/options.h"

/* Until it is left, or the watch ends; the exit status. */
int watch_join(const struct options *options);

#endif
