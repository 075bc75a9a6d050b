/* SPDX-License-Identifier: MIT */
/* What other commands say to a running watch. */
#ifndef GAINWARDEN_CONTROL_COMMANDS_H
#define GAINWARDEN_CONTROL_COMMANDS_H

#include "base/options.h"

int command_room(const struct options *options);
int command_quiet(const struct options *options);
int command_status(const struct options *options);
int command_reload(const struct options *options);

/* Lets the watch of this show, when one runs, take over what was just written, and says so. */
void control_take_over(const struct options *options);

/* Lets it begin again where a hook had stopped delivery, and says so: the hook works. */
void control_deliver(const struct options *options);

#endif
