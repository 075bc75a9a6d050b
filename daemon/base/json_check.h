/* SPDX-License-Identifier: MIT */
/* Whether a text is JSON (RFC 8259), and if not, what was expected where, in words for somebody who
 * wrote the file by hand: cJSON only says that it is none, and lets pass what is none.
 */
#ifndef GAINWARDEN_JSON_CHECK_H
#define GAINWARDEN_JSON_CHECK_H

#include <stdbool.h>
#include <stddef.h>

/* As deep, and numbers as long, as cJSON follows them. */
enum { JSON_DEPTH = 1000, JSON_NUMBER_MOST = 63, JSON_FAULT_SIZE = 120 };

/* The first thing that is wrong. */
struct json_fault {
    size_t at;                  /* offset in the text; its length where the text ends too early */
    char says[JSON_FAULT_SIZE]; /* "expected , before this" */
};

/* Line and column of an offset, from 1; a column is a character. */
struct json_place {
    int line, column;
};

struct json_place json_place(const char *text, size_t at);

/* Whether the text, with a NUL behind its `length` bytes, is one value and nothing else. A
 * byte-order mark before it is no matter; \u0000 and half a surrogate pair are turned down. */
bool json_check(const char *text, size_t length, struct json_fault *fault)
    __attribute__((warn_unused_result));

#endif
