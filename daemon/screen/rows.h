/* SPDX-License-Identifier: MIT */
/* Text made into rows of a screen: cut, or wrapped, and no wider than it is. For the views of this
 * room.
 */
#ifndef GAINWARDEN_SCREEN_ROWS_H
#define GAINWARDEN_SCREEN_ROWS_H

#include "screen/view.h"

/* Where rows go: those of the part in hand, from `skip` on and while there is room. */
struct rows {
    int width;
    size_t skip, room;
    size_t count; /* that the part has in all */
    view_row_fn *each;
    void *context;
};

/* Begins a part of so many rows. */
void rows_begin(struct rows *rows, size_t skip, size_t room);

/* One row, cut where it is too wide. */
void rows_cut(struct rows *rows, enum tone tone, const char *text);

/* As many rows as it takes, at most `most`, the later ones indented. The first `lead` bytes have
 * the tone. */
void rows_led(struct rows *rows, enum tone tone, size_t lead, int indent, const char *text,
              size_t most);
void rows_wrapped(struct rows *rows, enum tone tone, int indent, const char *text);

/* Empty rows until the part is full. */
void rows_fill(struct rows *rows);

#endif
