/* SPDX-License-Identifier: MIT */
/* What the words of an address say: which index a number in it may be, and which parameter the
 * value. Guesses, for a person to look at. Pure.
 */
#ifndef GAINWARDEN_LISTEN_GUESS_H
#define GAINWARDEN_LISTEN_GUESS_H

#include "desk/param.h"
#include "listen/address.h"

enum { GUESS_WORDS = 16, GUESS_WORD_SIZE = 32, GUESS_INDEXES = 3 };

/* Its words in lower case; each number is one of them. */
struct guess_words {
    char word[GUESS_WORDS][GUESS_WORD_SIZE];
    int count;
};

struct guess_indexes {
    enum index_kind kind[GUESS_INDEXES];
    int count;
};

void guess_split(struct guess_words *words, const char *address);

/* What the `which`-th number counts, behind those of `before`. */
enum index_kind guess_index(const struct guess_words *words, int which,
                            const struct guess_indexes *before);

/* What the next argument counts, where an address has no number for it. */
enum index_kind guess_argument(const struct guess_words *words, const struct guess_indexes *before);

/* The parameter that fits best, with these indexes; PARAMS: none does. A band's kind follows from
 * the parameter. */
enum param_id guess_param(const struct guess_words *words, const struct guess_indexes *indexes);

#endif
