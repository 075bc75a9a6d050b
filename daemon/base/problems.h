/* SPDX-License-Identifier: MIT */
/* A list of what is wrong with the user's files, so that all of it is told at once. */
#ifndef GAINWARDEN_PROBLEMS_H
#define GAINWARDEN_PROBLEMS_H

#include <stddef.h>
#include <stdio.h>

struct problems {
    char **lines; /* owned */
    size_t count; /* of all; lines past PROBLEMS_KEPT are only counted */
};

enum { PROBLEMS_KEPT = 50 };

void problems_init(struct problems *problems);
void problems_release(struct problems *problems);

void problems_add(struct problems *problems, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* One line each, "gainwarden: " before it, and a last line for what was not kept. */
void problems_print(const struct problems *problems, FILE *to);

/* A place in a JSON file: `values[3].answer[2].law`. Places are linked upwards and live on the
 * stack of the code that walks the file. */
struct where {
    const struct where *up; /* NULL: the whole file */
    const char *key;        /* NULL: an array's element */
    int index;
    const char *file;
    struct problems *problems;
};

struct where where_file(const char *file, struct problems *problems);
struct where where_key(const struct where *up, const char *key);
struct where where_index(const struct where *up, int index);

/* Adds "file: place: what" to the problems. */
void where_problem(const struct where *where, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* ", did you mean \"x\"?" for the nearest of `count` names when it is near, else "". `buffer` holds
 * the answer. name_at(context, i) gives the i-th name. */
const char *where_nearest(const char *found, const char *(*name_at)(const void *context, size_t i),
                          const void *context, size_t count, char buffer[100]);

#endif
