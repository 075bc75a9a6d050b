/* SPDX-License-Identifier: MIT */
/*
 * A walk down a state file: where it is, so that a complaint can say so, and how many there were.
 * The path is cut back on the way up; one buffer serves the whole file.
 */
#ifndef MOCK_WALK_H
#define MOCK_WALK_H

#include <cjson/cJSON.h>

#include "state.h"

enum { WALK_PATH_SIZE = 256 };

struct walk {
    const char *file;
    struct state *state; /* being filled; the caller's */
    unsigned errors;
    size_t length; /* of path */
    char path[WALK_PATH_SIZE];
};

/* Prints "mock-desk: FILE: where: ..." and counts it. */
__attribute__((format(printf, 2, 3))) void walk_complain(struct walk *walk, const char *format,
                                                         ...);

/* Append to the path; what they return is to be given back to walk_leave(). */
__attribute__((format(printf, 2, 3))) size_t walk_enter(struct walk *walk, const char *format, ...);
size_t walk_enter_key(struct walk *walk, const char *key);
void walk_leave(struct walk *walk, size_t before);

/* cJSON keeps both of two equal keys: true when `child` has an elder of its name. */
bool walk_is_repeated(const cJSON *object, const cJSON *child);

#endif
