/* SPDX-License-Identifier: MIT */
/* Text by the columns it takes on a terminal, not by its bytes. The locale's LC_CTYPE must be one
 * of UTF-8.
 *
 * Terminals do not agree on joined and varied emoji, so joiners and variation selectors are left
 * out and each part stands for itself; what the C library has no width for, and what escape.h
 * would not print as it is, comes out as '?'.
 */
#ifndef GAINWARDEN_COLUMNS_H
#define GAINWARDEN_COLUMNS_H

#include <stdbool.h>
#include <stddef.h>

/* Sees to such a locale: the user's, or else a plain one. Only characters change, so that numbers
 * keep their decimal point. */
void columns_set_locale(void);

/* Columns that the text takes once it is copied. */
int columns_width(const char *text);

/* Columns that the first `size` bytes of the text take as escape_print() writes them. */
int columns_escaped(const char *text, size_t size);

/* Bytes of the text that fit into so many columns, never part of a character. With `words` it ends
 * at a space where there is one and not all fits. */
size_t columns_fit(const char *text, int width, bool words);

/* Copies the first `length` bytes of the text as they are to be drawn; returns the bytes written,
 * at most size - 1. `to` may not be the text. */
size_t columns_copy(char *to, size_t size, const char *text, size_t length);

/* The same for what fits into so many columns, filled up with spaces. */
size_t columns_pad(char *to, size_t size, const char *text, int width);

#endif
