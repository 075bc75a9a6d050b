/* SPDX-License-Identifier: MIT */
/* What the link does, and what is said of it: it is told when it is lost and when it is back,
 * unless it comes and goes: then that is told once (flapping.h).
 */
#ifndef GAINWARDEN_WATCH_LINK_H
#define GAINWARDEN_WATCH_LINK_H

#include "link/reject_log.h"

struct watch_desk;

struct link_news {
    struct flapping *flapping;
    struct reject_log rejects;
    bool reloaded; /* the link was made anew, and reads for the first time */
    bool lost;     /* and that was told */
    bool stale;    /* every value went stale on a link that stands, and that was told */
};

/* Opens the desk's link, once more when its session is another one now. */
void watch_open_link(struct watch_desk *desk);

/* The link has been the same for so long that its coming and going is over. */
void watch_flap_over(void *context);

#endif
