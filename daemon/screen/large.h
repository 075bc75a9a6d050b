/* SPDX-License-Identifier: MIT */
/* Letters that are read from two metres: so many rows high and drawn from blocks. Letters and digits
 * of English, and the signs that figures need; small ones are drawn as capitals, and what there is
 * no letter for as a space.
 */
#ifndef GAINWARDEN_SCREEN_LARGE_H
#define GAINWARDEN_SCREEN_LARGE_H

#include <stddef.h>

enum { LARGE_ROWS = 5 };

/* Bytes of the text that fit into so many columns, at a space where there is one. */
size_t large_fit(const char *text, int width);

/* One of the rows, from 0, of the first `length` bytes; `block` is what a dot is drawn as. */
void large_row(char *to, size_t size, const char *text, size_t length, int row, const char *block);

/* What the terminal's characters have for a dot. */
const char *large_block(void);

#endif
