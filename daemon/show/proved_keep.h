/* SPDX-License-Identifier: MIT */
/* Keeps what a ring-out proves while it goes on, so that a crash at any moment leaves what was
 * proved before: each time the file is read again, since somebody may have taken something out of
 * it meanwhile, what this ring-out proved until now is put in the place of what it had put there,
 * and the whole is written anew. What stood in the file before the ring-out stays as PATH.1.
 */
#ifndef GAINWARDEN_SHOW_PROVED_KEEP_H
#define GAINWARDEN_SHOW_PROVED_KEEP_H

#include "show/proved.h"

struct proved_keeper;

/* Finds where: the file that is there, else beside the show file, else, where nothing can be written
 * there, in the folder of the watch's files. The session, which has a show file, outlives it. NULL
 * with the problems where nothing could be kept: better told before the ring-out than after it. */
struct proved_keeper *proved_keeper_open(const struct session *session,
                                         const struct options *options, struct problems *problems);
void proved_keeper_close(struct proved_keeper *keeper);

const char *proved_keeper_path(const struct proved_keeper *keeper);

/* All that the ring-out proved until now. `dropped` is told what makes room for it. False with the
 * problems, and then the file is as it was. */
bool proved_keeper_add(struct proved_keeper *keeper, const struct proofs *own,
                       proved_dropped_fn *dropped, void *context, struct problems *problems);

#endif
