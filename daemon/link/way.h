/* SPDX-License-Identifier: MIT */
/* What every link is, and the ways there are: one that speaks to a desk (live.c), and one that is
 * told once more what happened to it (replayed.c). For the files of links alone.
 */
#ifndef GAINWARDEN_LINK_WAY_H
#define GAINWARDEN_LINK_WAY_H

#include "link/link.h"

struct link_way {
    void (*begin)(struct link *link);      /* READING: the whole desk is to be read */
    void (*rest)(struct link *link);       /* STEADY */
    void (*lose)(struct link *link);       /* LOST */
    void (*read_again)(struct link *link); /* at full pace, while it is steady */
    /* Adds what is known of readings and wires. */
    void (*add_figures)(const struct link *link, struct link_figures *figures);
    void (*close)(struct link *link);
};

/* The first member of what a way opens. */
struct link {
    const struct link_way *way;
    struct loop *loop;
    const struct profile *profile;
    struct engine *engine;
    struct link_owner owner;
    struct router *router;
    struct osc_forms forms;      /* that are let in */
    int64_t packet_ms;           /* when the packet in hand came */
    size_t entry, place;         /* that the message in hand answered, as the router said */
    bool unmoved;                /* the packet in hand brought values that nothing had moved */
    struct link_figures figures; /* but what reading and wire count */
    enum link_state state;
    int64_t state_ms;              /* since when that holds */
    size_t probe_entry;            /* an entry that can be asked, or the count of them */
    char why[LINK_SAID_SIZE + 60]; /* it counts as silent: said_why_silent() */
    bool fast;                     /* the steady desk is being read at full pace */
};

/* A link in its first state, whose first five members are there; `answered` is told of the answers,
 * with the link as its context. */
void link_init(struct link *link, router_answer_fn *answered);
void link_free(struct link *link);

/* Values last heard before then are stale. */
void link_expire(struct link *link, int64_t before_ms);

/* What is done with one packet of the desk, and once more when a recording is replayed: check,
 * decoding, routing, and the counts of what was turned down. */
void link_hear_packet(struct link *link, const uint8_t *bytes, size_t length, int64_t now_ms);

#endif
