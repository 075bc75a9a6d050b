/* SPDX-License-Identifier: MIT */
/* What a look asked for and did not get, kept as places; made into words for whoever asks.
 */
#ifndef GAINWARDEN_RULES_MISS_H
#define GAINWARDEN_RULES_MISS_H

#include "core/text.h"
#include "desk/desk.h"

enum miss_how {
    MISS_UNNAMED, /* the profile does not name the setting */
    MISS_UNHEARD, /* the value was never heard, */
    MISS_STALE,   /* or is stale */
    MISS_INPUT,   /* "input 3: REASON", */
    MISS_MIX      /* "mix 3: REASON"; the setting, where there is one, is named before it */
};

struct miss {
    const char *reason;
    short param; /* the setting; PARAMS: the reason is about none */
    short row, column;
    unsigned char how; /* enum miss_how */
};

enum { MISSES_NAMED = 3, MISSES_SIZE = 420 };

struct misses {
    struct miss list[MISSES_NAMED];
    int named; /* of the list */
    int more;  /* that are only counted */
};

/* Appends "send.level of input 3, mix 1 is stale; mix 2: ..., and 4 more". */
void misses_add(struct text *text, const struct misses *misses);

#endif
