/* SPDX-License-Identifier: MIT */
/* Quieting: findings that are not told for a stated time, for a stated reason. They are judged all
 * the while, and told when the time is over if they still stand.
 */
#ifndef GAINWARDEN_RULES_QUIET_H
#define GAINWARDEN_RULES_QUIET_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "engine/engine.h"

enum { QUIETS_KEPT = 32 };

/* What is quieted: all that is named must match. */
struct quiet {
    int number;                  /* from 1, given by quiets_add() */
    int check;                   /* its number, -1: any */
    int input, mix;              /* 0-based, -1: any */
    char player[SHOW_NAME_SIZE]; /* "": any */
    bool stop_too;               /* findings of weight stop as well */
    bool meant;                  /* what stood then alone, where it weighs stop until it ends */
    double up_to;                /* its severity then: of meant, nothing that is worse */
    char why[SHOW_WHY_SIZE];
    char by[SHOW_NAME_SIZE];
    int64_t until_ms;
    bool ended;
    size_t hid; /* findings it held back */
};

struct quiets {
    struct quiet list[QUIETS_KEPT]; /* by number; the oldest that has ended makes room */
    size_t count;
    int last;
};

/* Takes a copy and gives it a number; 0 when QUIETS_KEPT run already. */
int quiets_add(struct quiets *quiets, const struct quiet *quiet);

/* Ends it before its time. False when no such one runs. */
bool quiets_end(struct quiets *quiets, int number, int64_t now_ms);

/* Ends those that were meant where what weighed stop does no more. */
void quiets_look(struct quiets *quiets, const struct engine *engine, int64_t now_ms);

/* Ends those whose time is over; the time of the next end, or INT64_MAX. */
int64_t quiets_pass(struct quiets *quiets, int64_t now_ms);

/* Whether the finding is one of those it names; `stop_too` and `meant` are looked at too. */
bool quiet_matches(const struct quiet *quiet, const struct desk *desk, const struct show *show,
                   const struct finding *finding);

/* The running one that holds the finding back, or NULL. */
struct quiet *quiets_find(struct quiets *quiets, const struct desk *desk, const struct show *show,
                          const struct finding *finding);

#endif
