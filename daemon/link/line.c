/* SPDX-License-Identifier: MIT */
#include "link/line.h"

#include <stdlib.h>
#include <string.h>

#include "core/need.h"

struct line {
    struct loop *loop;
    const struct profile_link *link;
    char *host;
    int port;
    struct line_owner owner;
    struct loop_lookup *lookup; /* under way */
    struct wire *wire;
    struct sockaddr_storage peer;
    struct wire_figures before; /* what a wire counted outlives it */
};

struct line *
line_new(struct loop *loop, const struct profile_link *link, const char *host, int port,
         struct line_owner owner)
{
    struct line *line = need_memory(1, sizeof *line);

    *line = (struct line){
        .loop = loop, .link = link, .host = need_text(host), .port = port, .owner = owner};
    return line;
}

void
line_free(struct line *line)
{
    if (!line)
        return;
    loop_lookup_cancel(line->lookup);
    wire_close(line->wire);
    free(line->host);
    free(line);
}

static void
on_lookup(void *context, const struct sockaddr *const *peers, const char *error)
{
    struct line *line = context;

    line->lookup = NULL;
    line->owner.looked_up(line->owner.context, peers, error);
}

void
line_look_up(struct line *line)
{
    if (!line->lookup)
        line->lookup = loop_lookup_open(line->loop, line->host, line->port, on_lookup, line);
}

struct wire_figures
line_figures(const struct line *line)
{
    struct wire_figures figures = line->before, now = {0, 0, 0};

    if (line->wire)
        now = wire_figures(line->wire);
    figures.strangers += now.strangers;
    figures.skipped += now.skipped;
    figures.broken += now.broken;
    return figures;
}

/* Keeps the socket while the address stays: the desk may know us by our port. */
const char *
line_connect(struct line *line, const struct sockaddr *peer)
{
    const char *error = NULL;

    if (line->wire && memcmp(&line->peer, peer, loop_address_size(peer)) == 0)
        return NULL;
    memcpy(&line->peer, peer, loop_address_size(peer));
    line->before = line_figures(line);
    wire_close(line->wire);
    line->wire =
        wire_open(line->loop, line->link, peer, line->owner.events, line->owner.context, &error);
    return line->wire ? NULL : error;
}

void
line_renew(struct line *line)
{
    if (line->wire)
        wire_renew(line->wire);
}

struct wire *
line_wire(const struct line *line)
{
    return line->wire;
}
