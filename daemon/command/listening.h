/* SPDX-License-Identifier: MIT */
/* What `gainwarden listen` knows while it listens, and how it ends (listen_end.c). */
#ifndef GAINWARDEN_LISTENING_H
#define GAINWARDEN_LISTENING_H

#include "link/link.h"
#include "listen/answers.h"
#include "listen/table.h"
#include "listen/turn.h"
#include "listen/unread.h"
#include "listen/why.h"
#include "loop/loop.h"
#include "show/session.h"

struct listener {
    struct loop *loop;
    struct session *session;
    const struct options *options;
    struct link *link;
    struct listen_table table;
    struct answers answers;
    struct unread unread;
    struct turn *turn;         /* NULL: nobody turns anything */
    struct unfolded *unfolded; /* to work in */
    int64_t begun_ms;
    bool heard; /* anything at all */
    bool made;  /* nobody gave a profile: this one knows nothing */
    bool read;  /* that all was asked has been told */
};

/* What is turned and typed, until either ends (listen_turn.c). */
struct turn *typing_turn(struct listener *listener);
struct typing *typing_open(struct listener *listener);
void typing_close(struct typing *typing);

/* Prints what came of it; the exit status. */
int listening_end(const struct listener *listener, const struct link_figures *figures);

#endif
