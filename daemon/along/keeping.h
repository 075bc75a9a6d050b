/* SPDX-License-Identifier: MIT */
/* What a ring-out proves, with who and when, into the file of the show (show/proved_keep.h): at once
 * when there is more of it, and where that failed again until it is there.
 */
#ifndef GAINWARDEN_ALONG_KEEPING_H
#define GAINWARDEN_ALONG_KEEPING_H

#include "show/proved_keep.h"

struct keeping_owner {
    /* How it went, for people: that it is kept, why not, what made room. */
    void (*said)(void *context, bool good, const char *text);
    void *context;
};

struct keeping;

/* All outlive it. NULL with the problems. */
struct keeping *keeping_open(const struct session *session, const struct options *options,
                             struct keeping_owner owner, struct problems *problems);
void keeping_close(struct keeping *keeping);

/* All that is proved until now, whose times are those of a clock that says now_ms. */
void keeping_take(struct keeping *keeping, const struct proofs *proofs, int64_t now_ms);

/* Time passes: what is not kept yet is tried again. */
void keeping_passed(struct keeping *keeping, int64_t now_ms);

/* The file, and how much of this ring-out is in it. */
const char *keeping_path(const struct keeping *keeping);
int keeping_kept(const struct keeping *keeping);

/* Something is proved and not kept. */
bool keeping_owes(const struct keeping *keeping);

#endif
