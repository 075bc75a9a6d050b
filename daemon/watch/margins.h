/* SPDX-License-Identifier: MIT */
/* What is left of the margin that ring-outs proved, mix by mix, for screen and status: the words of
 * proof/say.h, with since when it is so, how old the proof is, and that it knows nothing of the
 * stage.
 */
#ifndef GAINWARDEN_WATCH_MARGINS_H
#define GAINWARDEN_WATCH_MARGINS_H

#include <stddef.h>
#include <stdint.h>

struct margins;
struct watch_desk;

enum { MARGINS_LINE_SIZE = 700 };

/* Nothing is known of them yet. */
struct margins *margins_new(void);
void margins_free(struct margins *margins);

/* Once in a while, and whenever lines are wanted: when each took its present value. */
void margins_follow(struct margins *margins, const struct watch_desk *desk);

/* They are of other files from now on. */
void margins_forget(struct margins *margins);

/* A line for each mix into which a microphone is open, "1 Ld Vox wedge  4.5 dB proved left, ...", and
 * what is wrong with the proofs. Calls `each` for them. */
typedef void margins_line_fn(void *context, const char *line);
void margins_lines(struct margins *margins, const struct watch_desk *desk, margins_line_fn *each,
                   void *context);

#endif
