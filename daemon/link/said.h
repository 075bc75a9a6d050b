/* SPDX-License-Identifier: MIT */
/* What a desk says that the profile does not know, kept in words while it says nothing else: it is
 * there, and its answer often tells what it lacks, /error "bad pin".
 */
#ifndef GAINWARDEN_SAID_H
#define GAINWARDEN_SAID_H

#include "link/way.h"

/* Notes a message that no entry knows, or what could not be read, in the figures; only while
 * nothing else was heard for a while. */
void said_message(struct link *link, const struct osc_message *message);
void said_unread(struct link *link, const char *reason, const uint8_t *bytes, size_t length);

/* Why the desk counts as silent: the system's last word, what it says instead, or "no answer". The
 * text is the link's, until it is called again. */
const char *said_why_silent(struct link *link);

#endif
