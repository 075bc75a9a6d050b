/* SPDX-License-Identifier: MIT */
/* A profile by turning knobs. A person who knows the desk but not OSC is asked, one parameter after
 * another, to turn it on two objects; what moved on the first, and on the second at an address that
 * differs by as much, is its entry. Then a few positions, each with what the desk shows there, are
 * its law.
 *
 *   counts -> hands off -> the first object -> another object -> positions -> the next parameter
 *                ^______________ again _______________|__________________|
 *
 * What was found is written down at once, so that nothing is lost however it ends. It reads no
 * clock and no input by itself, and prints on standard output.
 */
#ifndef GAINWARDEN_LISTEN_TURN_H
#define GAINWARDEN_LISTEN_TURN_H

#include "base/json.h"
#include "osc/osc.h"

struct turn;

/* Asks the desk at this address, without arguments, whether it answers. */
typedef void turn_ask_fn(void *context, const char *address);

struct turn_setting {
    struct json *profile; /* goes on with this; belongs to it then */
    const char *path;     /* where it is kept; outlives it */
    turn_ask_fn *ask;     /* NULL: nothing may be asked */
    void *context;
};

/* Begins with its first question. */
struct turn *turn_new(const struct turn_setting *setting, int64_t now_ms);
void turn_free(struct turn *turn);

void turn_heard(struct turn *turn, const struct osc_message *message, int64_t now_ms);

/* A line that was typed, without its end. */
void turn_line(struct turn *turn, const char *line, int64_t now_ms);

/* Several times a second. */
void turn_tick(struct turn *turn, int64_t now_ms);

/* Everything was asked, or the person said that it is enough. */
bool turn_is_over(const struct turn *turn);

/* Prints what was found and what remains to be done; whether nothing does. */
bool turn_end(struct turn *turn);

/* What was found is in its file, as far as anything was. */
bool turn_is_kept(const struct turn *turn);

#endif
