/* SPDX-License-Identifier: MIT */
/* What an address that is sent could be taken for: the part of read_only.h that knows how servers
 * read addresses. An address is tokens here: its characters in lower case, and what stands for more
 * than one.
 */
#ifndef GAINWARDEN_READ_ADDRESS_H
#define GAINWARDEN_READ_ADDRESS_H

#include "profile/profile.h"

enum { ADDRESS_TOKENS = 256 };

struct tokens {
    int at[ADDRESS_TOKENS + 1]; /* 0 behind the last */
    int count;
};

struct tokens tokens_of_text(const char *text);

/* Of a pattern of the entry. */
struct tokens tokens_of(const struct pattern *pattern, const struct entry *entry);

/* Without what servers step over; what they may read in more than one way stands for anything. */
struct tokens tokens_plain(struct tokens tokens);

/* Whether two that are plain may be one address; adds to `steps` how long it took to tell. */
bool tokens_may_meet(const struct tokens *one, const struct tokens *other, long *steps);

/* What in the address can be read in more than one way, or NULL. */
const char *tokens_ambiguous(const struct tokens *tokens);

#endif
