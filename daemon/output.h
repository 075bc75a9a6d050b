/* Standard output: wrapped text, and the certainty that it was written. */
#ifndef GAINWARDEN_OUTPUT_H
#define GAINWARDEN_OUTPUT_H

#include <stdbool.h>

enum { OUTPUT_WIDTH = 96 };

/* Prints text word by word, escaped; the first line begins at column `first`, later ones at `rest`.
 */
void output_wrapped(int first, int rest, const char *text);

/* Prints one line, escaped: wrapped at column `rest` on a terminal, whole into a file or pipe. */
void output_line(int rest, const char *text);

/* Flushes. False, told once on standard error, when something was not written (full disk, closed
 * pipe). */
bool output_finish(void);

#endif
