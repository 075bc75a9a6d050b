/* SPDX-License-Identifier: MIT */
/* All that is sent to one desk: questions and renewals, under one ceiling. Where both wait for it,
 * they take turns. A renewal leaves at the beginning of a conversation and then every so often; one
 * that had to wait leaves once, however often it was due meanwhile.
 */
#ifndef GAINWARDEN_SPEAKER_H
#define GAINWARDEN_SPEAKER_H

#include "link/wire.h"
#include "loop/loop.h"
#include "profile/profile.h"

struct speaker;

/* Everything handed in must outlive it. `renewed` is told of each renewal that left. */
struct speaker *speaker_new(struct loop *loop, const struct profile *profile, struct wire *wire,
                            loop_fn *renewed, void *context);
void speaker_free(struct speaker *speaker);

/* Whether a question may leave now, and how long until then. */
bool speaker_may_ask(struct speaker *speaker);
int64_t speaker_wait_us(struct speaker *speaker, int64_t now_us);

/* Asks the entry's question for one place of entry_places(asked_count). */
void speaker_ask(struct speaker *speaker, size_t entry, size_t place);

/* Asks at an address that the desk spoke from, without arguments. */
void speaker_ask_at(struct speaker *speaker, const char *address);

/* A conversation begins: all renewals now, and from now on in their time. */
void speaker_begin(struct speaker *speaker);

/* Nobody is heard, and a second is over: those renewals that are seldom, too. */
void speaker_seek(struct speaker *speaker);

#endif
