/* SPDX-License-Identifier: MIT */
/* A recorded watch once more, as fast as the processor goes. */
#ifndef GAINWARDEN_REPLAY_H
#define GAINWARDEN_REPLAY_H

#include "base/options.h"
#include "saved/recording.h"

/* Runs the watch over the recording, prints what it tells, and does what the options say. `path`
 * names the recording in the problems, which say what was wrong. For this process the clock stands
 * then, and local time is the recording's. */
void replay_run(struct recording_reader *reader, const char *path, const struct options *options,
                struct problems *problems);

#endif
