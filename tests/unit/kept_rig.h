/* SPDX-License-Identifier: MIT */
/* What a watch has told, read back from its kept file and given to a new watch over a desk whose
 * every value is known: the part of a restart that meets a file which others may have written to.
 * There is no link and nobody is told.
 */
#ifndef GAINWARDEN_TESTS_KEPT_RIG_H
#define GAINWARDEN_TESTS_KEPT_RIG_H

#include "base/json.h"
#include "base/places.h"
#include "loop/stand.h"
#include "watch/earlier.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/record.h"
#include "watch/saying.h"

struct kept_rig {
    const struct profile *profile; /* outlives it */
    const char *folder;            /* where the file is */
    char path[PLACES_SIZE];        /* the file */
    struct options options;
    struct stand *stand;
    struct watch_shared shared;
    struct session session;
    struct watch_desk desk;
};

void kept_rig_open(struct kept_rig *rig, const struct profile *profile, const char *folder);
void kept_rig_close(struct kept_rig *rig);

/* Writes such a file. */
void kept_rig_write(const struct kept_rig *rig, const char *bytes, size_t length);

/* Reads it back, and judges the desk once. False when the file cannot be used. */
bool kept_rig_start(struct kept_rig *rig);

/* Lets so much time pass. */
void kept_rig_pass(struct kept_rig *rig, int64_t ms);

/* The watch ends, as if it were killed. */
void kept_rig_stop(struct kept_rig *rig);

/* Removes the file, and what was set aside of it. */
void kept_rig_clear(const struct kept_rig *rig);

#endif
