/* SPDX-License-Identifier: MIT */
/* What text_add() of the rules does not know: widths, hexadecimal, long numbers. */
#ifndef GAINWARDEN_TEXT_FORMAT_H
#define GAINWARDEN_TEXT_FORMAT_H

#include "core/text.h"

/* Appends as printf() does; what does not fit is cut and ends in "...". */
void text_format(struct text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));

#endif
