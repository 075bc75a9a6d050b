/* SPDX-License-Identifier: MIT */
/* What `gainwarden listen` knows while it listens, and how it ends (listen_end.c). */
#ifndef GAINWARDEN_LISTENING_H
#define GAINWARDEN_LISTENING_H

#include "link/link.h"
#include "listen/answers.h"
#include "listen/table.h"
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
    struct unfolded *unfolded; /* to work in */
    int64_t begun_ms;
    bool heard; /* anything at all */
    bool made;  /* nobody gave a profile: this one knows nothing */
    bool read;  /* that all was asked has been told */
};

/* Prints what came of it; the exit status. */
int listening_end(const struct listener *listener, const struct link_figures *figures);

#endif
