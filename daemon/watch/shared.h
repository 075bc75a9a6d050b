/* SPDX-License-Identifier: MIT */
/* What the desks of one watch share. */
#ifndef GAINWARDEN_WATCH_SHARED_H
#define GAINWARDEN_WATCH_SHARED_H

#include "base/options.h"
#include "link/link.h"
#include "loop/loop.h"
#include "show/session.h"

struct watch_desk;

/* What a watch over a real desk has outside (live.c), and a replay of one, which has a past, does
 * without (replay.c): chosen by whoever begins one. */
struct watch_way {
    /* What the show file names besides the terminal, what is kept, the control socket. False, told
     * on standard error, when something cannot be used as it stands. */
    bool (*open)(struct watch_desk *desk);
    struct link *(*open_link)(struct watch_desk *desk, struct link_owner owner);
    /* The desk is set up as it stands now; and how it was set up before. */
    void (*save_anchor)(struct watch_desk *desk);
    void (*restore_anchor)(struct watch_desk *desk);
};

extern const struct watch_way watch_live, watch_replayed;

struct watch_shared {
    const struct watch_way *way;
    struct loop *loop;
    const struct options *options;
    bool several;                       /* lines begin with the show's name */
    bool unseen;                        /* the terminal hung up: nobody reads lines */
    bool has_journal;                   /* lines go there, */
    bool has_screen;                    /* or to the screen's events alone */
    void (*output_lost)(void *context); /* the terminal is gone */
    void (*changed)(void *context);     /* there is something new to show */
    struct follow *follow;              /* who looks from elsewhere; NULL: nobody can */
    struct board *board;                /* in a browser; NULL: none */
    struct session *sessions; /* of all desks, session_count of them; each desk has its own */
    int session_count;
    struct desk_hosts *hosts; /* where the desks are, by the same numbers; NULL in a replay */
    struct watch_past *past;  /* of a replay */
    void *context;
};

#endif
