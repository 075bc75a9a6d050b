/* SPDX-License-Identifier: MIT */
/* How the program ends when there is no memory (core/need.h): at once, with one line and the
 * status EXIT_NO_MEMORY. Nothing more is written, so that no report ends in its middle as if it
 * were whole; files are whole, since each is put in its place in one step (atomic_file.h) or grows
 * line by line and is read back to its last whole one.
 */
#ifndef GAINWARDEN_NO_MEMORY_H
#define GAINWARDEN_NO_MEMORY_H

#include <stdio.h>

/* From now on it ends so. */
void no_memory_init(void);

/* What is done first, or NULL: nothing. It may ask for no memory. */
void no_memory_before(void (*leave)(void));

/* A stream into a text that grows, and its end; the text is for free() then. */
FILE *no_memory_stream(char **text, size_t *length);
void no_memory_stream_end(FILE *stream);

#endif
