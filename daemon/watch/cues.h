/* SPDX-License-Identifier: MIT */
/* Whether the shows' cues could reach a desk that is watched. */
#ifndef GAINWARDEN_WATCH_CUES_H
#define GAINWARDEN_WATCH_CUES_H

#include "watch/shared.h"

/* Adds the problems that the shows' cues have with the desks, `with` in place of the session of the
 * same desk; NULL: with the sessions as they are. */
void watch_check_cues(const struct watch_shared *shared, const struct session *instead_of,
                      const struct session *with, struct problems *problems);

#endif
