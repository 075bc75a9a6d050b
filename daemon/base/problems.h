/* SPDX-License-Identifier: MIT */
/* A list of what is wrong with the user's files, so that all of it is told at once. An empty one is
 * {0}. */
#ifndef GAINWARDEN_PROBLEMS_H
#define GAINWARDEN_PROBLEMS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

struct problems {
    char **lines; /* owned */
    size_t count; /* of all; lines past PROBLEMS_KEPT are only counted */
};

enum { PROBLEMS_KEPT = 50 };

void problems_release(struct problems *problems);

void problems_add(struct problems *problems, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Puts a text before each line from the `from`-th on: the file that names the one they are of. */
void problems_lead(struct problems *problems, size_t from, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* One line each and none twice, "gainwarden: " before it, and a last line for what was not kept. */
void problems_print(const struct problems *problems, FILE *to);

/* The same on standard error, and releases them. Whether there were none. */
bool problems_tell(struct problems *problems);

#endif
