/* SPDX-License-Identifier: MIT */
/* The only file that knows ncurses: one screen, its keys, and the terminal as it was afterwards.
 */
#ifndef GAINWARDEN_SCREEN_H
#define GAINWARDEN_SCREEN_H

#include "loop/loop.h"
#include "screen/view.h"

struct screen;

struct screen_owner {
    void (*draw)(void *context); /* something has to be shown: call screen_draw() */
    void (*end)(void *context);  /* q: the second one, or the first where it leaves */
    void *context;
    bool leaves; /* q leaves a watch that goes on elsewhere, and at once */
};

/* Takes the terminal over. NULL when it is none that can be drawn on; then nothing has changed. */
struct screen *screen_open(struct loop *loop, struct screen_owner owner);

/* Gives it back as it was. */
void screen_close(struct screen *screen);

/* The screen fills in which desk is chosen, the clock and the prompt. */
void screen_draw(struct screen *screen, struct view *view);

/* Shows this desk whole from now on, until the user chooses another. */
void screen_choose(struct screen *screen, size_t desk);

/* The terminal is gone: a hang-up of the line. */
bool screen_is_gone(const struct screen *screen);

#endif
