/* Everything the desk can say in the dialect it speaks, and how it is asked for it. */
#ifndef MOCK_BOOK_H
#define MOCK_BOOK_H

#include "addresses.h"
#include "dialects.h"

#include <stdbool.h>
#include <stddef.h>

enum { BOOK_PHRASES = 96 };

struct Book {
    const struct Dialect *dialect;
    struct Addresses questions;
    size_t messages; /* how many there are in all: one for each object of each phrase */
    size_t count;
    struct Phrase phrases[BOOK_PHRASES];
    char addresses[BOOK_PHRASES][2][ADDRESS_SIZE]; /* of single values: question and answer */
};

/* False when memory is out. The book must stay where it is. */
bool Book_init(struct Book *book, const struct Dialect *dialect, const struct State *state);
void Book_release(struct Book *book);

/* Message number `message` of all: its phrase and the object it is about. */
const struct Phrase *Book_message(const struct Book *book, const struct State *state,
                                  size_t message, size_t *object);

/* The phrase that tells of a field; `object` of the field becomes that of the phrase. */
const struct Phrase *Book_tells(const struct Book *book, const struct State *state,
                                const struct Field *field, size_t *object);

#endif
