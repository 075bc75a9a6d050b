/* SPDX-License-Identifier: MIT */
/* Where a watch keeps its files, from its name and the environment: what must outlast a restart,
 * and the socket over which it is spoken to.
 */
#ifndef GAINWARDEN_PLACES_H
#define GAINWARDEN_PLACES_H

#include <stdbool.h>

#include "base/problems.h"

enum { PLACES_SIZE = 1024 };

/* Name of what is watched, the same at every start and for every program that means it: the show
 * file's name without ".json" and a few digits that stand for its whole path; without a show file,
 * those of profile and desk. */
void places_name(const char *show, const char *profile, const char *desk, char name[80]);

/* FOLDER/NAME.SUFFIX for files that outlast the program. FOLDER is `keep` where that is given, else
 * the first of $STATE_DIRECTORY, $XDG_STATE_HOME/gainwarden and $HOME/.local/state/gainwarden; it
 * is made, for its owner alone, when it is not there. False, with the reason in the problems. */
bool places_kept(const char *keep, const char *name, const char *suffix, char path[PLACES_SIZE],
                 struct problems *problems);

/* The same for who only looks whether it is there: no folder is made. */
bool places_kept_at(const char *keep, const char *name, const char *suffix, char path[PLACES_SIZE],
                    struct problems *problems);

/* The same for sockets: `keep` where that is given, else $RUNTIME_DIRECTORY,
 * $XDG_RUNTIME_DIR/gainwarden, else where places_kept() puts files. */
bool places_socket(const char *keep, const char *name, char path[PLACES_SIZE],
                   struct problems *problems);

#endif
