/* SPDX-License-Identifier: MIT */
/* What the addresses that were heard come to, printed: suggested entries for those that no entry
 * covers, or all of them by pattern.
 */
#ifndef GAINWARDEN_LISTEN_SUGGEST_H
#define GAINWARDEN_LISTEN_SUGGEST_H

#include "listen/table.h"

/* Prints an entry of a profile for those addresses that none has, a guess for a person to look at;
 * how many. */
size_t suggest_entries(const struct listen_table *table);

/* Prints for each of so many entries a value of it that was turned down, with the reason. */
void suggest_refused(const struct listen_table *table, size_t entries);

/* Prints what came in `seconds`, by pattern. */
void suggest_patterns(const struct listen_table *table, double seconds);

#endif
