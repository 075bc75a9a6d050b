/* SPDX-License-Identifier: MIT */
/* What happens on the desk while a ring-out is followed: over the running watch of this show where
 * there is one, which speaks to the desk already, else over a link of our own. Nobody above knows
 * which, and a watch that ends is followed by the other within a second or two.
 *
 * What moved is found by comparing, once a wake-up, the desk with what it was; times are those at
 * which the values were heard, in their order. Many different values at once are a recall
 * (watcher/burst.h); many of one kind are not: a hand on all masters.
 */
#ifndef GAINWARDEN_ALONG_HEAR_H
#define GAINWARDEN_ALONG_HEAR_H

#include "link/link.h"
#include "show/session.h"

enum hear_news {
    HEAR_LOST,
    HEAR_BACK,
    HEAR_RECALLED,
    HEAR_READ /* the desk was read whole: for the first time, or anew behind one of the others */
};

struct hear_owner {
    /* The value moved, became known or went stale. */
    void (*moved)(void *context, enum param_id id, int row, int column, int64_t at_ms);
    /* `why`: what the link says. */
    void (*news)(void *context, enum hear_news news, const char *why);
    /* The desk cannot be followed any more; the problems say why. */
    void (*refused)(void *context);
    void *context;
};

struct hear;

/* All handed in outlives it. NULL with the problems, or told on standard error. */
struct hear *hear_open(struct loop *loop, struct session *session, const struct options *options,
                       struct hear_owner owner, struct problems *problems);
void hear_close(struct hear *hear);

/* Before the loop sleeps: what moved is told. */
void hear_turn(struct hear *hear);

/* At least ten times a second. */
void hear_passed(struct hear *hear);

/* It is followed over a running watch; and shows that what is shown of it (screen/ring_view_json.h),
 * which is taken over. */
bool hear_has_watch(const struct hear *hear);
void hear_tell_watch(const struct hear *hear, struct json *view);

/* "the desk", "the running watch". */
const char *hear_over(const struct hear *hear);
/* For how long nothing was heard of the desk, though it is asked all the while. */
int64_t hear_silent_ms(const struct hear *hear);

enum link_state hear_state(const struct hear *hear);

#endif
