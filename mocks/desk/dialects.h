/* SPDX-License-Identifier: MIT */
/*
 * The ways in which desks answer, one row each. A dialect says how values travel; what they are is
 * the state's. It lists the messages that hold several values; every other field goes alone, at its
 * address of the table of fields with the dialect's prefixes before it.
 */
#ifndef MOCK_DIALECTS_H
#define MOCK_DIALECTS_H

#include <stdbool.h>
#include <stddef.h>

#include "phrase.h"

struct dialect {
    const char *name;
    const char *help;
    const struct phrase *phrases;
    size_t count;
    const char *ask;    /* prefix of the question for a single value; NULL: nobody can ask */
    const char *answer; /* and of its answer */
    bool indices_apart; /* single values: indices are arguments and not in the address */
    struct manner manner;
    enum style style; /* of single values */
    bool patterns;    /* a question's address may be a pattern */
    bool sweeps;      /* everything is pushed after each /stay */
};

enum { DIALECTS = 15 };
extern const struct dialect dialect_rows[DIALECTS];

/* The dialect of that name, or NULL. */
const struct dialect *dialect_find(const char *name);

#endif
