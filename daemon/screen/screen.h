/* SPDX-License-Identifier: MIT */
/* The only file that knows ncurses: one screen, its keys, and the terminal as it was afterwards. What
 * stands on it are rows: of a watch (view.h), or of whatever else its owner shows.
 */
#ifndef GAINWARDEN_SCREEN_H
#define GAINWARDEN_SCREEN_H

#include "loop/loop.h"
#include "screen/view.h"

struct screen;

struct screen_owner {
    void (*draw)(void *context); /* something has to be shown: call screen_draw() or the other */
    void (*end)(void *context);  /* q: the second one, or the first where it leaves */
    void *context;
    bool leaves; /* q leaves a watch that goes on elsewhere, and at once */
    /* Whoever draws rows of his own has keys of his own, besides q; NULL: these are of a watch. */
    void (*key)(void *context, int key);
};

/* Takes the terminal over. NULL when it is none that can be drawn on; then nothing has changed. */
struct screen *screen_open(struct loop *loop, struct screen_owner owner);

/* Gives it back as it was. */
void screen_close(struct screen *screen);

/* The screen fills in which desk is chosen, the clock and the prompt. */
void screen_draw(struct screen *screen, struct view *view);

/* The same with rows of the owner's: `rows` calls `each` for so many, the first at the top. */
typedef void screen_rows_fn(void *context, int width, int height, view_row_fn *each, void *to);
void screen_draw_rows(struct screen *screen, screen_rows_fn *rows, void *context);

/* Shows this desk whole from now on, until the user chooses another. */
void screen_choose(struct screen *screen, size_t desk);

/* The terminal is gone: a hang-up of the line. */
bool screen_is_gone(const struct screen *screen);

#endif
