/* SPDX-License-Identifier: MIT */
/* From a few positions, each with what travels and what the desk shows, to the law between them.
 * The simplest that fits as exactly as the desk shows its numbers: none, a factor, a linear gain, a
 * line or equal ratios from end to end, and else the points themselves with lines between. Pure.
 */
#ifndef GAINWARDEN_LISTEN_FIND_LAW_H
#define GAINWARDEN_LISTEN_FIND_LAW_H

#include "base/json.h"
#include "desk/desk.h"

enum { FIND_LAW_POINTS = 16, FIND_LAW_WHY_SIZE = 160 };

struct find_law_point {
    double wire, shown; /* shown: -HUGE_VAL: off */
    double within;      /* half of the last digit that the desk shows */
};

struct found_law {
    struct json *law;             /* for json_free(); NULL: none is needed */
    struct travel range;          /* where the law gives no end stops; NAN: it does */
    char says[FIND_LAW_WHY_SIZE]; /* what it is, or why there is none */
};

/* The number that a person typed, "off" too, and how exact it is; false when it is none. */
bool find_law_shown(const char *text, struct find_law_point *point);

/* False, with the reason, where no law goes through the points. They are sorted. */
bool find_law(struct find_law_point *points, size_t count, enum param_id id,
              struct found_law *found);

#endif
