/* SPDX-License-Identifier: MIT */
/* JSON lines: one object a line to a file or to standard output, for other programs. A line is
 * written whole by one write or not at all; what could not be written is counted, and said in a
 * line of its own before the next that could. People hear of it once, and once more when there is
 * room for many.
 */
#ifndef GAINWARDEN_LINES_H
#define GAINWARDEN_LINES_H

#include "base/json.h"

struct lines;

/* Called when writing begins to fail, and when it works again: a line for the terminal. */
typedef void lines_trouble_fn(void *context, const char *line);

/* Appends to the file, which is made when it is not there; "-" is standard output. NULL with the
 * reason in the problems. */
struct lines *lines_open(const char *path, lines_trouble_fn *trouble, void *context,
                         struct problems *problems);
void lines_close(struct lines *lines);

void lines_write(struct lines *lines, const struct json *object);

/* Opens the file's name anew: the old one was moved away. */
void lines_reopen(struct lines *lines);

#endif
