/* SPDX-License-Identifier: MIT */
/* What an earlier watch left in its kept file (kept.h): read back, and given to the watch that
 * begins. Others may have written to the file, so that nothing in it is trusted.
 *
 * The wall clock may have been set meanwhile, or may begin at some old time after a power cut: of
 * what ends by itself, whichever of the wall clock and what was left of it ends it sooner counts,
 * so that it never lasts longer than it was asked for. A clock that is ahead ends it early: nobody
 * can tell that from a watch that was away for so long, and what is told too soon is no danger.
 */
#ifndef GAINWARDEN_WATCH_EARLIER_H
#define GAINWARDEN_WATCH_EARLIER_H

#include "base/json.h"
#include "base/problems.h"
#include "engine/engine.h"
#include "watch/kept.h"

enum { EARLIER_LONGEST_S = 7 * 86400 /* that anything which ends by itself may last */ };

struct earlier;
struct watch_desk;

/* Nothing was before. The engine is the one of the watch that begins. */
struct earlier *earlier_new(struct engine *engine, struct kept *kept);
void earlier_free(struct earlier *earlier);

/* Opens the file, reads it back, and lets it be written to. False with the problems. */
bool earlier_open(struct earlier *earlier, const char *path, struct problems *problems);

/* The same without a file, from one record or the snapshot that a recording holds; the context is
 * the earlier watch. */
void earlier_take(void *context, const struct json *record);

/* A watch was here before, and said good-bye. */
bool earlier_was_there(const struct earlier *earlier);
bool earlier_said_good_bye(const struct earlier *earlier);

/* Gives the new watcher and the chat hook what there was. */
void earlier_restore(struct earlier *earlier, struct watch_desk *desk);

#endif
