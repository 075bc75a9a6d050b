/* SPDX-License-Identifier: MIT */
/* The promise that gainwarden only reads, as a property of a profile. A question without arguments
 * at the address its own answer comes from needs nothing. Everything else is listed (sending.h):
 * nobody but the desk's owner can know what it does there. What looks like a move is refused unless
 * its entry says "this_only_asks".
 */
#ifndef GAINWARDEN_READ_ONLY_H
#define GAINWARDEN_READ_ONLY_H

#include "profile/profile.h"

/* A question that must be on the list. */
bool read_only_is_listed(const struct entry *entry);

enum { READ_ONLY_LISTED_MOST = 1000 };

/* Adds a problem where more than READ_ONLY_LISTED_MOST would be on the list, and for each listed
 * question and each renewal that
 *
 *  - carries arguments to an address that can be read in more than one way, whoever says what;
 *  - and, unless it says "this_only_asks", carries more than indexes, or could reach an address
 *    that an answer of the profile comes from. */
void read_only_check(const struct profile *profile, const struct where *file);

/* Whether some address could be meant by both patterns of the entry. Cautious: letter case, empty
 * and dot segments, signs and zeros before a number do not count, an index is any number, a name
 * anything, the pattern characters of OSC stand for anything, and an address with "..", '%' or '\'
 * may be any. */
bool read_only_may_meet(const struct pattern *one, const struct pattern *other,
                        const struct entry *entry);

/* The same for an address as it is sent. */
bool read_only_may_be(const char *address, const struct pattern *pattern,
                      const struct entry *entry);

/* What in the address can be read in more than one way, or NULL. */
const char *read_only_ambiguous(const char *address);

#endif
