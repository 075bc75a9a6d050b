/* What other commands say to a running watch. */
#ifndef GAINWARDEN_CONTROL_COMMANDS_H
#define GAINWARDEN_CONTROL_COMMANDS_H

#include "options.h"

/* Lets the watch of this show, when one runs, take over what was just written, and says so. */
void control_take_over(const struct options *options);

#endif
