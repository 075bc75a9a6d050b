/* SPDX-License-Identifier: MIT */
/* `gainwarden watch`: stays with its desks until it is ended. */
#ifndef GAINWARDEN_WATCH_H
#define GAINWARDEN_WATCH_H

#include "base/options.h"

int command_watch(const struct options *options);

#endif
