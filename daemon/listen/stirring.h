/* SPDX-License-Identifier: MIT */
/* Which value moved when somebody turned something. Everything that is heard is kept by address,
 * and by the whole numbers in front of its arguments, which on many desks say which input or mix it
 * is. Time is parted into stretches: while nobody should touch the desk, whatever moves (meters,
 * clocks) moves by itself; while somebody turns, what stood still before and moves now is a
 * candidate, and the more the longer it went one way and then came back. Bounded, and pure.
 */
#ifndef GAINWARDEN_LISTEN_STIRRING_H
#define GAINWARDEN_LISTEN_STIRRING_H

#include <stdbool.h>
#include <stdint.h>

#include "listen/address.h"
#include "osc/osc.h"

enum {
    STIRRING_STREAMS = 16384,
    STIRRING_KEYS = 3,
    STIRRING_ARGUMENTS = 8, /* that are looked at */
    STIRRING_TEXT_SIZE = 40,
    STIRRING_FOUND = 16
};

/* Where a value comes from. */
struct stirring_at {
    char address[ADDRESS_SIZE];
    int keys[STIRRING_KEYS]; /* the first arguments */
    int key_count;
    int argument; /* the value's; one of the keys where it is a whole number in front of others */
    size_t count; /* of arguments */
    char type;    /* the value's */
    bool untyped;
};

struct stirring_found {
    struct stirring_at at;
    int score, changes, turns; /* how often it changed, and changed its direction */
    double low, high;          /* where it went meanwhile; NAN: texts */
    int64_t last_ms;           /* it moved */
};

/* What stands there now. */
struct stirring_value {
    double number;                 /* NAN: a text that is none */
    char text[STIRRING_TEXT_SIZE]; /* as it came; "": it is no text */
};

struct stirring;

struct stirring *stirring_new(void);
void stirring_free(struct stirring *stirring);

/* Whether it is one that moves by itself, or cannot be looked at. */
bool stirring_note(struct stirring *stirring, const struct osc_message *message, int64_t now_ms);

/* A stretch begins: hands off the desk, or somebody turns. */
void stirring_rest(struct stirring *stirring);
void stirring_turn(struct stirring *stirring);

/* What moved by itself is forgotten; a rest finds it anew. */
void stirring_forget(struct stirring *stirring);

/* What was turned in this stretch, the likeliest first; how many. */
size_t stirring_find(const struct stirring *stirring, struct stirring_found found[STIRRING_FOUND]);

/* How many values move by themselves. */
size_t stirring_chatter(const struct stirring *stirring);

/* When it changed last; 0: never. */
int64_t stirring_last(const struct stirring *stirring, const struct stirring_at *at);

/* False when nothing was heard there. */
bool stirring_now(const struct stirring *stirring, const struct stirring_at *at,
                  struct stirring_value *value);

#endif
