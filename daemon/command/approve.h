/* SPDX-License-Identifier: MIT */
/* `gainwarden approve`: the desk as it should stay, into a file. */
#ifndef GAINWARDEN_APPROVE_H
#define GAINWARDEN_APPROVE_H

#include "base/options.h"

int command_approve(const struct options *options);

#endif
