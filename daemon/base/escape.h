/* SPDX-License-Identifier: MIT */
/* Text from outside made safe to print and to keep. */
#ifndef GAINWARDEN_ESCAPE_H
#define GAINWARDEN_ESCAPE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

/* Prints valid UTF-8 as it is; control characters, characters that turn the writing direction and
 * bytes that are no UTF-8 come out as \xNN, so that nothing from a desk or a file can move the
 * cursor or hide text. */
void escape_print(FILE *to, const char *text);

/* The same for the first `size` bytes of the text, which end with a character. */
void escape_print_part(FILE *to, const char *text, size_t size);

/* Copies text the same way with '?' for what escape_print() would escape; at most size - 1 bytes,
 * never part of a character. */
void escape_clean(char *to, size_t size, const char *text);

/* Length of the valid UTF-8 character at `text`, 0 when there is none. */
size_t escape_character(const char *text);

/* The ASCII character that the one at `text` is, or is the full-width form of (U+FF01 to U+FF5E),
 * which some programs take for it; NUL for all others. */
char escape_ascii(const char *text);

/* The character at `text` is a blank of any kind; it takes no room where it is drawn. */
bool escape_is_blank(const char *text);
bool escape_is_unseen(const char *text);

/* escape_print() would print the character at `text` as it is. */
bool escape_is_harmless(const char *text);

#endif
