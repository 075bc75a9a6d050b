/* SPDX-License-Identifier: MIT */
/* Everything the desk can say in the dialect it speaks, and how it is asked for it. */
#ifndef MOCK_BOOK_H
#define MOCK_BOOK_H

#include <stdbool.h>
#include <stddef.h>

#include "addresses.h"
#include "dialects.h"

enum { BOOK_PHRASES = 96 };

struct book {
    const struct dialect *dialect;
    struct addresses questions;
    size_t messages; /* how many there are in all: one for each object of each phrase */
    size_t count;
    struct phrase phrases[BOOK_PHRASES];
    char addresses[BOOK_PHRASES][2][ADDRESS_SIZE]; /* of single values: question and answer */
};

/* False when memory is out. The book must stay where it is. */
bool book_init(struct book *book, const struct dialect *dialect, const struct state *state);
void book_release(struct book *book);

/* Message number `message` of all: its phrase and the object it is about. */
const struct phrase *book_message(const struct book *book, const struct state *state,
                                  size_t message, size_t *object);

/* The phrase that tells of a field; `object` of the field becomes that of the phrase. */
const struct phrase *book_tells(const struct book *book, const struct state *state,
                                const struct field *field, size_t *object);

#endif
