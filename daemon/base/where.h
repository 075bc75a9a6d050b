/* SPDX-License-Identifier: MIT */
/* A place in a JSON file and what stands there: whoever reads a file goes from place to place, and
 * tells what is wrong where it is.
 *
 *     for (struct where one = where_first(list); one.json; where_next(&one))
 *         if (!where_is(&one, JSON_NUMBER))
 *             where_problem(&one, "is no number");    "file: values[3].answer[2]: is no number"
 */
#ifndef GAINWARDEN_WHERE_H
#define GAINWARDEN_WHERE_H

#include "base/json.h"

/* Places are linked upwards and live on the stack of the code that walks the file. */
struct where {
    const struct json *json; /* what stands there; NULL: nothing */
    const struct where *up;  /* NULL: the whole file */
    const char *key;         /* NULL: an array's element */
    int index;
    const char *file;
    struct problems *problems;
};

struct where where_file(const char *file, const struct json *json, struct problems *problems);
struct where where_key(const struct where *up, const char *key);

/* A place that is only told of: its `json` is NULL. */
struct where where_index(const struct where *up, int index);

/* What an array or object holds, in the order of the file; `json` is NULL behind the last. */
struct where where_first(const struct where *up);
void where_next(struct where *child);

/* Adds "file: place: what" to the problems. */
void where_problem(const struct where *where, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* ", did you mean \"x\"?" for the nearest of `count` names when it is near, else "". `buffer` holds
 * the answer. name_at(context, i) gives the i-th name; NULL is never near. */
const char *where_nearest(const char *found, const char *(*name_at)(const void *context, size_t i),
                          const void *context, size_t count, char buffer[100]);

/* The problem "unknown WHAT", with the name that is nearest to the place's key. */
void where_unknown_key(const struct where *where, const char *what,
                       const char *(*name_at)(const void *context, size_t i), const void *context,
                       size_t count);

bool where_is(const struct where *where, enum json_kind kind);

/* The same; a problem when it is of another kind, or missing though it is required. */
bool where_need(const struct where *where, enum json_kind kind, bool required);

/* Whether it is an array of two; their places. */
bool where_pair(const struct where *where, struct where pair[2]);

/* The text and the number there; NULL and NAN where there is none. */
const char *where_text(const struct where *where);
double where_number(const struct where *where);

/* The number of a level: -HUGE_VAL for "-inf". */
double where_level(const struct where *where);

/* The number there, within its limits; false, with a problem, when it is none or beyond them.
 * What stands in `to` stays then. */
bool where_take_above(const struct where *where, double most, double *to);
bool where_take_whole(const struct where *where, int least, int most, int *to);

/* Whether a file that should hold this "..._format" is of no other kind; a problem, with both
 * kinds, when it is. */
bool where_check_kind(const struct where *where, const char *key);

/* Whether the number under `key` is this format's; a problem when it is not, or when it is no
 * object at all. */
bool where_check_format(const struct where *where, const char *key, int format);

#endif
