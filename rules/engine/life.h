/* SPDX-License-Identifier: MIT */
/* The life of a finding, so that people are told edges and not every twitch of a value:
 *
 *            bad                 bad for raise_ms, and still          good
 *   clear -----------> rising ---------------------------> raised ---------> easing
 *     ^                  |                                    ^                |  |
 *     |______ good ______|                                    |______ bad _____|  |
 *     |________________________ good for clear_ms ________________________________|
 *
 * "Still": a move is not over until it stops, so the hold before raising counts from the last time
 * the severity changed, but never longer than longest_ms in all. A hold of 0 raises or clears at
 * once. Unknown freezes: no edge, and when it is known again the hold begins anew.
 *
 * The dead band lies in the checks' settings (`eases` in check.h): while a finding is not clear,
 * its check is asked with the eased threshold.
 */
#ifndef GAINWARDEN_RULES_LIFE_H
#define GAINWARDEN_RULES_LIFE_H

#include <stdbool.h>
#include <stdint.h>

enum life_state { LIFE_CLEAR, LIFE_RISING, LIFE_RAISED, LIFE_EASING };

enum seen { SEEN_GOOD, SEEN_BAD, SEEN_UNKNOWN };

struct life {
    enum life_state state;
    int64_t since_ms; /* when that began */
    int64_t still_ms; /* from when the hold counts */
    bool frozen;      /* what it rests on is not known now */
    const char *why;  /* the last step was made; NULL: none was */
};

struct life_holds {
    int64_t raise_ms, clear_ms;
    int64_t longest_ms; /* of a rise that goes on moving */
};

/* Told of each change of a life: "from -> to (why)". */
struct life_log {
    void (*tell)(void *context, enum life_state from, enum life_state to, const char *why);
    void *context;
};

/* What the check sees now; `moved`: the severity is another than when it was last seen. `log` may
 * be NULL. */
void life_see(struct life *life, enum seen seen, bool moved, const struct life_holds *holds,
              int64_t now_ms, const struct life_log *log);

/* Time has passed: ends a hold that is over. */
void life_pass(struct life *life, const struct life_holds *holds, int64_t now_ms,
               const struct life_log *log);

/* When life_pass() has something to do; INT64_MAX: not before it sees something. */
int64_t life_next_ms(const struct life *life, const struct life_holds *holds);

/* It is told, or was told before a restart, as open. */
bool life_is_open(const struct life *life);

/* "clear", "rising", "raised", "easing". */
const char *life_state_name(enum life_state state);

#endif
