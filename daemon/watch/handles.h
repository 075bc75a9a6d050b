/* SPDX-License-Identifier: MIT */
/* What the watch over one desk is made of. Each part is opaque, in a file of its own, and does what
 * its header says; there are no functions here. For the files of this folder alone.
 */
#ifndef GAINWARDEN_WATCH_HANDLES_H
#define GAINWARDEN_WATCH_HANDLES_H

#include "watch/shared.h"

struct watch_desk {
    const struct watch_shared *shared;
    struct session *session;
    const char *show; /* the show file's path; NULL: none */
    struct link *link;
    struct link_news *link_news; /* watch/link.h */
    struct watcher *watcher;
    struct judge *judge;
    struct kept *kept;
    struct earlier *earlier;
    struct record *record;
    struct saying *saying;
    struct control *control; /* loop/control.h; NULL in a replay */
    struct table *table;
    struct beat *beat;
    struct loop_timer *minute;
};

#endif
