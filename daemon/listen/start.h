/* SPDX-License-Identifier: MIT */
/* A profile to start from, of what came: what the words of its addresses say it may be. It asks
 * nothing, and takes no number for dB, Hz or on and off that does not show what it is: such an
 * entry has a law that is still to be found, and its value stays not known.
 */
#ifndef GAINWARDEN_LISTEN_START_H
#define GAINWARDEN_LISTEN_START_H

#include "base/json.h"
#include "listen/table.h"

/* Adds them; how many. */
size_t start_profile(const struct listen_table *table, struct json *profile);

#endif
