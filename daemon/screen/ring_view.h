/* SPDX-License-Identifier: MIT */
/* What the screen shows of a ring-out that is followed: rows made from plain facts, without a
 * terminal. The facts are filled in by along/show.c.
 *
 *   clock, show, what is rung out
 *   link
 *   what to do next
 *   the figures
 *   what somebody should know: cautions, what is not ready
 *   the rings, the last ones
 *   what was seen, the last of it
 *   the prompt
 *
 * With large letters what to do next comes first, then what was just seen, and what is left; what
 * has no room is left out from the end, and the last row is always the prompt.
 */
#ifndef GAINWARDEN_SCREEN_RING_VIEW_H
#define GAINWARDEN_SCREEN_RING_VIEW_H

#include "screen/view.h"

enum { RING_VIEW_LARGE = 3, RING_VIEW_LARGE_SIZE = 80 };

struct ring_view_list {
    const char (*texts)[VIEW_TEXT_SIZE]; /* the filler's, valid while the view is drawn */
    size_t count;
};

struct ring_view {
    char clock[32], title[200];
    char link[200];
    bool lost;
    char next[VIEW_TEXT_SIZE];
    bool urgent; /* what comes next protects somebody */
    struct ring_view_list figures, care, rings, seen;
    /* in large letters: next, seen, figures; "": nothing */
    char large[RING_VIEW_LARGE][RING_VIEW_LARGE_SIZE];
    bool is_large;
    const char *prompt;
};

/* Calls `each` for the `height` rows of the screen from the top, as view_rows(). */
void ring_view_rows(const struct ring_view *view, int width, int height, view_row_fn *each,
                    void *context);

#endif
