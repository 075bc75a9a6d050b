/* SPDX-License-Identifier: MIT */
/* `gainwarden retrim`: one reading, the list of moves. */
#ifndef GAINWARDEN_RETRIM_COMMAND_H
#define GAINWARDEN_RETRIM_COMMAND_H

#include "base/options.h"

int command_retrim(const struct options *options);

#endif
