/* SPDX-License-Identifier: MIT */
/* Writes sentences into fixed buffers without <stdio.h>, which rules/ may not use. */
#ifndef GAINWARDEN_RULES_TEXT_H
#define GAINWARDEN_RULES_TEXT_H

#include <stdbool.h>
#include <stddef.h>

struct text {
    char *at; /* always ended by a NUL; owned by the caller */
    size_t size;
    size_t used;
    bool cut; /* something did not fit; nothing is added any more */
};

/* Starts an empty text in a buffer of `size` bytes, at least 4. */
void text_init(struct text *text, char *buffer, size_t size);

/* Appends. Knows %d (int), %zu (size_t), %s, %f (double: at most one decimal, none when it is .0,
 * "off" for -HUGE_VAL), %g (the same with at most two) and %%; anything else is our own bug. What
 * does not fit is cut and ends in "...". */
void text_add(struct text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Appends a number with at most so many decimals, 1 to 3, as %f does with one. */
void text_add_number(struct text *text, double number, int decimals);

/* Takes what the caller wrote behind the text, from at + used on: so many bytes, or as many of them
 * as fit, for the rest is cut as above. */
void text_wrote(struct text *text, size_t length);

#endif
