/* SPDX-License-Identifier: MIT */
/* A ring-out, followed along: what happens on the desk (hear.h) goes to the recogniser (ring/), what
 * it sees is told (tell.h), and what it proves is kept (keeping.h). The desk is only read, by us or
 * by the running watch.
 */
#ifndef GAINWARDEN_ALONG_H
#define GAINWARDEN_ALONG_H

#include "show/session.h"

struct along;

/* The session, which has a show file, and the options outlive it. NULL, told on standard error, where
 * it cannot be begun. */
struct along *along_open(struct session *session, const struct options *options);

/* Until the user ends it, or the desk cannot be followed any more; the exit status. */
int along_run(struct along *along);

/* Whether something was kept. */
bool along_has_kept(const struct along *along);

void along_close(struct along *along);

#endif
