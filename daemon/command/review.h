/* SPDX-License-Identifier: MIT */
/* `gainwarden review`: setups marked by a scheme. */
#ifndef GAINWARDEN_REVIEW_COMMAND_H
#define GAINWARDEN_REVIEW_COMMAND_H

#include "base/options.h"

int command_review(const struct options *options);

#endif
