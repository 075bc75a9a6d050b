/* SPDX-License-Identifier: MIT */
/* The renewals of one link: each at the beginning of a conversation and then every so often, but
 * never past the ceiling of what may leave in a second. One that had to wait leaves once, however
 * often it was due meanwhile.
 */
#ifndef GAINWARDEN_RENEWALS_H
#define GAINWARDEN_RENEWALS_H

#include "link/ceiling.h"
#include "loop/loop.h"
#include "profile/profile.h"

struct renewals;

/* Sends one. False when a question has its turn first: it is tried again a little later. */
typedef bool renewals_send_fn(void *context, const struct pattern *message);

/* Everything handed in must outlive it; `send` counts at the ceiling. */
struct renewals *renewals_new(struct loop *loop, const struct profile *profile,
                              struct ceiling *ceiling, renewals_send_fn *send, void *context);
void renewals_free(struct renewals *renewals);

/* A conversation begins: all of them now, and from now on in their time. */
void renewals_begin(struct renewals *renewals);

/* Nobody is heard, and a second is over: those that are seldom, too. */
void renewals_seek(struct renewals *renewals);

#endif
