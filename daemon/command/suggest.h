/* SPDX-License-Identifier: MIT */
/* What a profile could say of addresses that no entry covers: those that differ only in their
 * numbers are one entry, the numbers are indexes, and the words tell what it may be. A guess, for a
 * person to look at.
 */
#ifndef GAINWARDEN_SUGGEST_H
#define GAINWARDEN_SUGGEST_H

#include "command/listen_table.h"

/* Prints one suggested entry for each group of rows whose address no entry has; how many groups. */
size_t suggest_print(const struct listen_table *table);

#endif
