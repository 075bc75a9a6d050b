/* SPDX-License-Identifier: MIT */
/* What the two files of the check share: how far it has read, and what it says. Nobody else
 * includes it.
 */
#ifndef GAINWARDEN_JSON_READER_H
#define GAINWARDEN_JSON_READER_H

#include "base/json_check.h"

/* What may come next. */
enum json_state { FIRST_KEY, KEY, COLON, FIRST_VALUE, VALUE, BEHIND_VALUE };

struct json_reader {
    const char *text;
    size_t length, at;
    enum json_state state;
    size_t open[JSON_DEPTH]; /* where the brackets stand that are open, the innermost last */
    size_t depth;
    size_t comma; /* the last one; what is wrong may be it, */
    size_t curly; /* or this quote, the last one in the text that ends at `text_end`; 0: none */
    size_t text_end;
    struct json_fault *fault;
};

/* The bracket that closes the innermost one that is open. */
char json_closer(const struct json_reader *reader);

/* The places and words of what is wrong; all return false. */
bool json_fault_at(const struct json_reader *reader, size_t at, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* "says: the { of line 3, column 5 is not closed" */
bool json_fault_open(const struct json_reader *reader, const char *says);

/* A quote that word processors and web pages make of a straight one. */
bool json_is_curly(const char *text);
bool json_fault_curly(const struct json_reader *reader, size_t at);

/* What stands here wherever something else should, and says by itself what is wrong, like a
 * comment; true: it does not. */
bool json_fault_itself(const struct json_reader *reader);

/* "expected X here, not Y", "expected X before this" */
bool json_fault_expected(const struct json_reader *reader, const char *expected);
bool json_fault_before(const struct json_reader *reader, const char *expected);

/* The text is over, and was not to be. */
bool json_fault_end(const struct json_reader *reader);

#endif
