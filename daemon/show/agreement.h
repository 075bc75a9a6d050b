/* SPDX-License-Identifier: MIT */
/* Whether somebody agreed to what a profile sends (sending.h), before any of it leaves. The show
 * file's desk.agreed says so, or the list's hash was agreed to before (agreed.h); else the list is
 * printed, and --yes or a person at the terminal agrees. A link asserts that one of them did.
 */
#ifndef GAINWARDEN_AGREEMENT_H
#define GAINWARDEN_AGREEMENT_H

#include "show/session.h"

/* For a command that begins. False: nothing may be sent, and that was told on standard error. */
bool agreement_begin(struct session *session, const struct options *options);

/* For a session read anew while `running` goes on: nobody is asked, and a --yes at the beginning
 * was for the list of then. False with the problem. */
bool agreement_renew(struct session *session, const struct session *running,
                     const struct options *options, struct problems *problems);

#endif
