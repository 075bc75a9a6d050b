/* SPDX-License-Identifier: MIT */
/* A watch once more: what a recording's lines say, done to the desk as it was done then.
 * watch/record.c wrote them. Nothing is kept, nobody is told but standard output, and the link is
 * told what happens.
 */
#ifndef GAINWARDEN_WATCH_REPLAY_H
#define GAINWARDEN_WATCH_REPLAY_H

#include "base/problems.h"
#include "saved/recording.h"
#include "watch/shared.h"

/* What a replay has in place of files, of the first line of a recording; belongs to it. */
struct watch_past {
    const char *path;        /* the recording */
    const struct json *kept; /* as kept.h has it; NULL: a watch without a past */
    struct desk *anchor;     /* taken over; NULL: none */
};

/* Does once more what a line of a recording says. False with the problems. */
bool watch_desk_replay(struct watch_desk *desk, const struct recorded *recorded,
                       struct problems *problems);

/* The desk was read, as a recording's first line says, before it began. */
void watch_desk_replay_begin(struct watch_desk *desk, const struct json *head);

#endif
