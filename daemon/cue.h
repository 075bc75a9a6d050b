/* One OSC message an edge to a chosen host, so that a cue light or another program can react:
 *
 *   ADDRESS ,sssss  event ("raised", "worse", "cleared", "lost", "back"), weight, check, object,
 * text
 *
 * It is never the desk: gainwarden only reads that.
 */
#ifndef GAINWARDEN_CUE_H
#define GAINWARDEN_CUE_H

#include "loop.h"
#include "show_file.h"

struct cue;

/* Called with a line for the terminal. */
typedef void cue_trouble_fn(void *context, const char *line);

/* Begins to look up the host, and the desk, again and again until both resolve: before that, and
 * where they are the same host and port, nothing is sent; the latter is told. The
 * same spelling of both is refused here, with the reason in the problems. All must outlive it. */
struct cue *cue_open(struct loop *loop, const struct cue_settings *settings, const char *desk,
                     int desk_port, cue_trouble_fn *trouble, void *context,
                     struct problems *problems);
void cue_close(struct cue *cue);

void cue_send(struct cue *cue, const char *event, const char *weight, const char *check,
              const char *object, const char *text);

#endif
