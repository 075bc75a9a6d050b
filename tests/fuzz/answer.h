/* SPDX-License-Identifier: MIT */
/* The message with which a desk would answer an entry of a profile.
 */
#ifndef GAINWARDEN_FUZZ_ANSWER_H
#define GAINWARDEN_FUZZ_ANSWER_H

#include "profile/profile.h"

/* The bytes are for free(). NULL where no desk could send such an answer, or a longer one than we
 * read: a run of more arguments than there may be, a literal that its type or its line cannot hold.
 */
uint8_t *answer_make(const struct profile *profile, const struct entry *entry,
                     const int indexes[ENTRY_VARIABLES], size_t *length);

#endif
