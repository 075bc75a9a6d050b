/* SPDX-License-Identifier: MIT */
/* What is shown of the ring-out, for the board of the watch over which it is followed: when it is
 * another, at most SHARE_MOST_A_S times a second, and once a second anyway, since the watch takes
 * nothing for true that is old. Nobody waits for the watch: what it does not take
 * is lost, and the next comes soon.
 */
#ifndef GAINWARDEN_ALONG_SHARE_H
#define GAINWARDEN_ALONG_SHARE_H

#include "along/hear.h"
#include "screen/ring_view.h"

enum { SHARE_MOST_A_S = 4 };

struct share {
    char *said;       /* owned: what was sent last; NULL: nothing */
    int64_t due_ms;   /* not before */
    int64_t again_ms; /* the same not before */
};

void share_view(struct share *share, const struct hear *hear, const struct ring_view *view,
                int64_t now_ms);
void share_release(struct share *share);

#endif
