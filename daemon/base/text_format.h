/* SPDX-License-Identifier: MIT */
/* Texts made as printf() does: what text_add() of the rules does not know (widths, hexadecimal,
 * long numbers), and those of any length. */
#ifndef GAINWARDEN_TEXT_FORMAT_H
#define GAINWARDEN_TEXT_FORMAT_H

#include <stdarg.h>

#include "core/text.h"

/* Appends as printf() does; what does not fit is cut and ends in "...". */
void text_format(struct text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* A text as long as it gets, for free(). */
char *text_printed(const char *format, ...) __attribute__((format(printf, 1, 2)));
char *text_vprinted(const char *format, va_list args) __attribute__((format(printf, 1, 0)));

#endif
