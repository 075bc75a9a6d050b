/* Where the approved state of a show is kept, and how it gets into an engine. */
#ifndef GAINWARDEN_APPROVED_H
#define GAINWARDEN_APPROVED_H

#include "engine.h"
#include "options.h"
#include "show_file.h"
#include "state_file.h"

/* --approved, else the show file's desk.approved, else the show file's path with ".approved.json"
 * in place of ".json"; to free(). NULL when there is neither option nor show file. *named: somebody
 * said so, and it has to be there. */
char *approved_path(const struct options *options, const struct show_file *file, bool *named);

/* Reads it for the engine's desk. NULL: there is none, or it is wrong, with the problems. */
struct desk *approved_read(const struct options *options, const struct show_file *file,
                           const struct engine *engine, struct state_note *note, int64_t now_ms,
                           struct problems *problems);

#endif
