/* SPDX-License-Identifier: MIT */
/* What of the facts is more than an age: a page counts those by itself. */
#ifndef GAINWARDEN_BOARD_AGES_H
#define GAINWARDEN_BOARD_AGES_H

#include <stdint.h>

#include "base/json.h"

/* The same for facts that differ by times and ages alone. */
uint64_t ages_aside(const struct json *facts);

#endif
