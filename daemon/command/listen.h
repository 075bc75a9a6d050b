/* SPDX-License-Identifier: MIT */
/* `gainwarden listen`: what the desk says, for writing a profile. */
#ifndef GAINWARDEN_LISTEN_H
#define GAINWARDEN_LISTEN_H

#include "base/options.h"

int command_listen(const struct options *options);

#endif
