/* SPDX-License-Identifier: MIT */
/* What the link does, and what is said of it: it is told when it is lost and when it is back,
 * unless it comes and goes: then that is told once (flapping.h).
 */
#ifndef GAINWARDEN_WATCH_LINK_H
#define GAINWARDEN_WATCH_LINK_H

struct link_news;
struct watch_desk;

struct link_news *link_news_new(struct watch_desk *desk);
void link_news_free(struct link_news *news);

/* Opens the desk's link, once more when its session is another one now. */
void watch_open_link(struct watch_desk *desk);

#endif
