/* SPDX-License-Identifier: MIT */
/* The last things that people were told, with their times, so that who was away can read what he
 * missed: also over a restart.
 */
#ifndef GAINWARDEN_WATCH_LATELY_H
#define GAINWARDEN_WATCH_LATELY_H

#include <stddef.h>

#include "base/json.h"

enum { LATELY_KEPT = 64, LATELY_SIZE = 240 };

struct lately_line {
    double at_s; /* since 1970 */
    char says[LATELY_SIZE];
};

struct lately {
    struct lately_line lines[LATELY_KEPT]; /* a ring */
    size_t count;                          /* that were told */
};

/* The line that was told now. */
const struct lately_line *lately_add(struct lately *lately, const char *says);

/* So many lines back; NULL: there is none. */
const struct lately_line *lately_at(const struct lately *lately, size_t back);

/* As it is kept, and an earlier watch kept it: nothing in that is trusted. */
struct json *lately_line_json(const struct lately_line *line);
void lately_had(struct lately *lately, const struct json *json);

#endif
