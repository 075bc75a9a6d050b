/* SPDX-License-Identifier: MIT */
/* A marking scheme: what a finding costs. Marks are counted in tenths, so that sums are exact.
 *
 * A group has its marks, and checks; every finding of a check costs a number of marks that may grow
 * with how far off it is, each check costs no more than its `most`, and a group no more than its
 * own.
 */
#ifndef GAINWARDEN_RULES_SCHEME_H
#define GAINWARDEN_RULES_SCHEME_H

#include <stdbool.h>

#include "desk/show.h"

enum { SCHEME_GROUPS = 12, SCHEME_CHECKS = 32, SCHEME_BY_HAND = 24 };
enum { SCHEME_SHA256_SIZE = 65 };

struct scheme_check {
    int check;                    /* its number */
    int least_tenths, top_tenths; /* what a finding costs up to `from`, and from `to` on */
    double from, to;              /* of the check's leading figure; the cost is linear in between */
    int most_tenths;              /* all findings of the check together */
};

struct scheme_group {
    char name[SHOW_NAME_SIZE];
    int marks_tenths;
    int most_tenths; /* that findings may take; the marks themselves where the scheme names none */
    struct scheme_check checks[SCHEME_CHECKS];
    int check_count;
};

/* What no parameter of a desk shows, for the trainer's own hand. */
struct scheme_by_hand {
    char what[SHOW_WHY_SIZE];
    int marks_tenths;
};

struct scheme {
    char name[SHOW_NAME_SIZE], version[SHOW_NAME_SIZE];
    char sha256[SCHEME_SHA256_SIZE]; /* of its file, in hexadecimal */
    bool stop_forbids_pass;          /* with an open finding of weight stop nobody passes */
    double least_assessed;           /* per cent of the marks; with less assessed nobody passes */
    struct scheme_group groups[SCHEME_GROUPS];
    int group_count;
    struct scheme_by_hand by_hand[SCHEME_BY_HAND];
    int by_hand_count;
};

/* Where the scheme marks the check, and in which group (may be NULL); NULL when it does not. */
const struct scheme_check *scheme_find(const struct scheme *scheme, int check, int *group);

/* What a finding of this severity costs by itself, in tenths of a mark. */
int scheme_cost(const struct scheme_check *check, double severity);

#endif
