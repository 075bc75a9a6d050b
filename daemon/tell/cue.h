/* SPDX-License-Identifier: MIT */
/* One OSC message an edge to a chosen host, so that a cue light or another program can react:
 *
 *   ADDRESS ,sssss  event, weight, check, object, text
 *
 * The event is "raised", "worse", "cleared", "lost" or "back".
 *
 * It never goes to the host of a desk: gainwarden only reads those.
 */
#ifndef GAINWARDEN_CUE_H
#define GAINWARDEN_CUE_H

#include "link/desk_hosts.h"
#include "loop/loop.h"
#include "show/file.h"

struct cue;

/* Called with a line for the terminal. */
typedef void cue_trouble_fn(void *context, const char *line);

/* Begins to look up the host, again and again until it resolves. Nothing is sent before that, nor
 * before it is known of every desk of the process where it is, nor ever while the host is one of
 * theirs, on whatever port. What keeps messages back is told once, and so is the end of that. All
 * must outlive it. */
struct cue *cue_open(struct loop *loop, const struct cue_settings *settings,
                     struct desk_hosts *hosts, cue_trouble_fn *trouble, void *context);
void cue_close(struct cue *cue);

void cue_send(struct cue *cue, const char *event, const char *weight, const char *check,
              const char *object, const char *text);

#endif
