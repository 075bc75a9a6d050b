/* SPDX-License-Identifier: MIT */
/* Which question leaves now: all of them in a reading, at the profile's pace; between readings what
 * moved, at the same pace, and the two rounds within their budget (rounds.h). It sends by the
 * speaker and goes by the loop's time, but the caller wakes it.
 */
#ifndef GAINWARDEN_ASKER_H
#define GAINWARDEN_ASKER_H

#include "link/presence.h"
#include "link/questions.h"
#include "link/rounds.h"
#include "link/speaker.h"

struct asker {
    const struct profile *profile;
    struct loop *loop;
    struct speaker *speaker;
    struct presence *presence; /* is told of each question */
    struct questions *questions;
    struct rounds *rounds;
    bool reads;     /* a reading goes on */
    double fastest; /* questions a second that the desk was read with, 0: not yet */
};

/* Everything handed in must outlive it. */
struct asker asker_of(const struct profile *profile, struct loop *loop, struct speaker *speaker,
                      struct presence *presence);
void asker_release(struct asker *asker);

/* A reading begins; what was answered before is asked again. */
void asker_read(struct asker *asker);

/* It is over, and the rounds begin, as fast as it says that they may. */
void asker_rest(struct asker *asker);

/* Sends what may leave now. */
void asker_ask(struct asker *asker);

/* How long until there is more to do. */
int64_t asker_wait_us(struct asker *asker);

/* The answer for a place of an entry came, and moved a value or not. True when it is time for
 * asker_ask(). */
bool asker_heard(struct asker *asker, size_t entry, size_t place, bool moved);

/* Asks one question beside all others. False when it may not leave yet. */
bool asker_look(struct asker *asker, size_t entry);

#endif
