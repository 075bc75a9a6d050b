/* SPDX-License-Identifier: MIT */
/* The terminal that the program stands on, through a descriptor of its own: its modes, and bytes to
 * it that never hold the program up.
 *
 * A terminal can stop taking bytes for minutes: a line over which nothing comes any more. Whoever
 * draws writes to a file in memory (terminal_out()), terminal_send() hands that on, and the loop
 * writes it as the terminal takes it. Nothing more may be drawn until all is taken.
 *
 * The descriptor is opened anew, since "without waiting" holds for everybody who shares one, the
 * shell for one.
 */
#ifndef GAINWARDEN_TERMINAL_H
#define GAINWARDEN_TERMINAL_H

#include <stdbool.h>
#include <stdio.h>

#include "loop/loop.h"

struct terminal;

struct terminal_owner {
    void (*keys)(void *context);  /* there is something to read from terminal_in() */
    void (*taken)(void *context); /* all that was sent was taken */
    void *context;
};

/* The terminal of standard output. NULL when there is none, or the program is in its background;
 * then nothing has changed. */
struct terminal *terminal_open(struct loop *loop, struct terminal_owner owner);

/* Waits for at most half a second until all that was sent is taken, and gives the terminal back
 * with its modes. */
void terminal_close(struct terminal *terminal);

FILE *terminal_in(const struct terminal *terminal);
FILE *terminal_out(const struct terminal *terminal);

/* Keys one by one, unseen; no flow control, since a stopped terminal shows what was. */
void terminal_take(struct terminal *terminal);

/* The modes it had, once all that was sent is taken, as on closing. Keys are left to others. */
void terminal_give(struct terminal *terminal);

/* All that was sent was taken. */
bool terminal_is_ready(const struct terminal *terminal);

/* Sends what was written to terminal_out(). */
void terminal_send(struct terminal *terminal);

void terminal_size(const struct terminal *terminal, int *width, int *height);

/* A process in the background may neither draw nor read keys: it would be stopped. */
bool terminal_is_in_front(const struct terminal *terminal);

/* The line was hung up. */
bool terminal_is_gone(const struct terminal *terminal);

/* From now on a crash gives the modes back and writes `leave`, without the pauses "$<5>" in it, to
 * the terminal; NULL: no longer. */
void terminal_on_crash(struct terminal *terminal, const char *leave);

#endif
