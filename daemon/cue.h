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

/* Begins to look up the desk and then the host, each again and again until it resolves; until then
 * nothing is sent. A host that does not resolve is told once, and so is the end of that. Nothing is
 * ever sent where both are one place: the same port of the same address in either family, or of
 * this machine by any of its loopback addresses; that is told. The same spelling of both is refused
 * here, with the reason in the problems. All must outlive it. */
struct cue *cue_open(struct loop *loop, const struct cue_settings *settings, const char *desk,
                     int desk_port, cue_trouble_fn *trouble, void *context,
                     struct problems *problems);
void cue_close(struct cue *cue);

void cue_send(struct cue *cue, const char *event, const char *weight, const char *check,
              const char *object, const char *text);

#endif
