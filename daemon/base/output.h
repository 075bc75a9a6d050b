/* SPDX-License-Identifier: MIT */
/* Standard output: text wrapped to the terminal it is printed on, and the certainty that it was
 * written. Every text is escaped, so that no label can move the cursor.
 */
#ifndef GAINWARDEN_OUTPUT_H
#define GAINWARDEN_OUTPUT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

/* Columns where it is no terminal, and the least that is wrapped to. */
enum { OUTPUT_WIDTH = 80, OUTPUT_LEAST_WIDTH = 40 };

/* Words of a text that stand out on a terminal, by their first byte. */
enum { OUTPUT_STRONG = 2, OUTPUT_NONE = -1 };

/* Columns of standard output, as they are now. */
int output_width(void);

/* Prints text word by word; the first line begins at column `first`, later ones at `rest`. */
void output_wrapped(int first, int rest, const char *text);
void output_paragraph(FILE *to, int first, int rest, const char *text);

/* The same for a text made by printf(); a line feed that begins the format is printed. */
void output_format(int first, int rest, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* The same with its first word in bold: the weight, or "do:". Bold only on a terminal, and not
 * where NO_COLOR is set (no-color.org) or TERM is "dumb". */
void output_led(int first, int rest, const char *format, ...) __attribute__((format(printf, 3, 4)));

/* Prints a label at column `first`, and the text wrapped at `column`; where the terminal is too
 * narrow for that, below the label. */
void output_row(FILE *to, int first, int column, const char *label, const char *text);

/* Prints a label at column `first`, and spaces up to `column`: a cell of a table. */
void output_padded(int first, int column, const char *label);

/* Prints one line: wrapped at column `rest` on a terminal, from the column on at which it begins;
 * whole into a file or pipe. */
void output_line(FILE *to, int rest, const char *text, const int strong[OUTPUT_STRONG]);

/* The same for a text made by printf(). */
void output_line_format(FILE *to, int rest, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Flushes. False, told once on standard error, when something was not written (full disk, closed
 * pipe). */
bool output_finish(void);

#endif
