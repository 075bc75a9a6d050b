/*
 * A walk down a state file: where it is, so that a complaint can say so, and how many there were.
 * The path is cut back on the way up; one buffer serves the whole file.
 */
#ifndef MOCK_WALK_H
#define MOCK_WALK_H

#include "state.h"

#include <cjson/cJSON.h>

enum { WALK_PATH_SIZE = 256 };

struct Walk {
    const char *file;
    struct State *state; /* being filled; the caller's */
    unsigned errors;
    size_t length; /* of path */
    char path[WALK_PATH_SIZE];
};

/* Prints "mock-desk: FILE: where: ..." and counts it. */
__attribute__((format(printf, 2, 3))) void Walk_complain(struct Walk *walk, const char *format,
                                                         ...);

/* Append to the path; what they return is to be given back to Walk_leave(). */
__attribute__((format(printf, 2, 3))) size_t Walk_enter(struct Walk *walk, const char *format, ...);
size_t Walk_enter_key(struct Walk *walk, const char *key);
void Walk_leave(struct Walk *walk, size_t before);

/* cJSON keeps both of two equal keys: true when `child` has an elder of its name. */
bool Walk_is_repeated(const cJSON *object, const cJSON *child);

#endif
