/* SPDX-License-Identifier: MIT */
/* `gainwarden compare`: one reading beside the approved desk or a reference. */
#ifndef GAINWARDEN_COMPARE_COMMAND_H
#define GAINWARDEN_COMPARE_COMMAND_H

#include "base/options.h"

int command_compare(const struct options *options);

#endif
