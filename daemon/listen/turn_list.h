/* SPDX-License-Identifier: MIT */
/* What a person is asked to turn, the most useful first: what the checks need before what only
 * makes them more exact. A test holds it to what the checks read. */
#ifndef GAINWARDEN_LISTEN_TURN_LIST_H
#define GAINWARDEN_LISTEN_TURN_LIST_H

#include "desk/param.h"

struct turn_task {
    enum param_id param;
    const char *what; /* "the preamp gain" */
};

enum { TURN_TASKS = 52 };

/* Ended by one that has no `what`. */
extern const struct turn_task turn_tasks[TURN_TASKS];

/* What a desk is asked to have so many of; ended by one that has no `what`. */
struct turn_count {
    enum index_kind kind;
    const char *what;
};

extern const struct turn_count turn_counts[INDEX_KINDS];

#endif
