/* SPDX-License-Identifier: MIT */
/* All that is sent to one desk: questions and renewals, under one ceiling. Where both wait for it,
 * they take turns.
 */
#ifndef GAINWARDEN_SPEAKER_H
#define GAINWARDEN_SPEAKER_H

#include "link/wire.h"
#include "loop/loop.h"
#include "profile/profile.h"

struct speaker;

/* Everything handed in must outlive it. */
struct speaker *speaker_new(struct loop *loop, const struct profile *profile);
void speaker_free(struct speaker *speaker);

/* Where it leaves from now on; NULL: nowhere. */
void speaker_set_wire(struct speaker *speaker, struct wire *wire);
bool speaker_is_ready(const struct speaker *speaker);

/* Whether a question may leave now, and how long until then. */
bool speaker_may_ask(struct speaker *speaker);
int64_t speaker_wait_us(struct speaker *speaker, int64_t now_us);

/* Asks the entry's question for one place of entry_places(asked_count). */
void speaker_ask(struct speaker *speaker, size_t entry, size_t place);

/* A conversation begins; and nobody is heard, and a second is over (renewals.h). */
void speaker_begin(struct speaker *speaker);
void speaker_seek(struct speaker *speaker);

#endif
