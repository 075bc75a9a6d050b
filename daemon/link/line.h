/* SPDX-License-Identifier: MIT */
/* The way to one desk: its name, looked up again now and then, its address, and the wire that leads
 * there.
 */
#ifndef GAINWARDEN_LINE_H
#define GAINWARDEN_LINE_H

#include "link/wire.h"
#include "loop/loop.h"
#include "profile/profile.h"

struct line;

/* `events` of the wire, and `looked_up` after each look-up, with the context. Everything but the
 * host must outlive it. */
struct line_owner {
    const struct wire_events *events;
    loop_lookup_fn *looked_up;
    void *context;
};
struct line *line_new(struct loop *loop, const struct profile_link *link, const char *host,
                      int port, struct line_owner owner);
void line_free(struct line *line);

/* Looks the name up, unless that is under way. */
void line_look_up(struct line *line);

/* Leads there from now on. What the system says against it; NULL: nothing. */
const char *line_connect(struct line *line, const struct sockaddr *peer);

/* Gives a connection up that brings nothing any more, and makes another. */
void line_renew(struct line *line);

/* NULL: it leads nowhere yet. */
struct wire *line_wire(const struct line *line);

/* Of all its wires. */
struct wire_figures line_figures(const struct line *line);

#endif
