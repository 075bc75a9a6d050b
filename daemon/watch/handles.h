/* SPDX-License-Identifier: MIT */
/* What the watch over one desk is made of. Some parts are opaque, in a file of their own; the others
 * are a few values each, which belong to the file whose header names them. For the files of this
 * folder alone.
 */
#ifndef GAINWARDEN_WATCH_HANDLES_H
#define GAINWARDEN_WATCH_HANDLES_H

#include "watch/beat.h"
#include "watch/judge.h"
#include "watch/link.h"
#include "watch/shared.h"
#include "watch/table.h"

struct watch_desk {
    const struct watch_shared *shared;
    struct session *session;
    const char *show; /* the show file's path; NULL: none */
    struct link *link;
    struct watcher *watcher;
    struct kept *kept;
    struct earlier *earlier;
    struct record *record;
    struct saying *saying;
    struct margins *margins;
    struct changed *changed;     /* NULL: nobody can look at a board; */
    struct board_briefs *briefs; /* the same */
    struct control *control;     /* loop/control.h; NULL in a replay */
    struct relay *relay;
    struct link_news link_news;
    struct judge judge;
    struct table table;
    struct beat beat;
    int64_t room_ms; /* when the room last changed; INT64_MAX: not since the watch began */
};

/* The time of its loop. */
static inline int64_t
watch_now_ms(const struct watch_desk *desk)
{
    return loop_now_ms(desk->shared->loop);
}

#endif
