/* SPDX-License-Identifier: MIT */
/* What a profile sends beyond questions without arguments at the address of their own answer: one
 * list, for a person to agree to. Pure: it follows from the loaded profile alone.
 *
 *   /get/eq {input} {band}, input 1 to 24, band 1 to 4, asked as needed
 *   /get/trim {input}, input by name, asked as needed
 *   input by name: "A1" "A2" "B1"
 *   /stay, every 8 s (each second while the desk is away)
 *
 * The hash is the SHA-256 of the text that is printed: how it travels, then the rows, sorted and
 * each once, all ended by a line feed. So it outlives every edit of the profile that sends nothing
 * else, and no two lists have one.
 */
#ifndef GAINWARDEN_SENDING_H
#define GAINWARDEN_SENDING_H

#include "base/sha256.h"
#include "profile/profile.h"

/* What gainwarden promises of what it sends, sentence by sentence, ended by NULL: README and man
 * page say the same. */
extern const char *const sending_promise[];

struct sending {
    char travels[60]; /* "over UDP" */
    char **rows;      /* owned */
    size_t count;     /* 0: there is nothing to agree to */
    char hash[SHA256_TEXT_SIZE];
};

void sending_of(const struct profile *profile, struct sending *sending);
void sending_release(struct sending *sending);

/* The rows and the hash, each line behind two blanks; of an empty list that it is empty. */
void sending_print(const struct sending *sending, FILE *to);

#endif
