/* SPDX-License-Identifier: MIT */
/* Other files while the watch runs: all or nothing. What is told, quieted and approved stays. */
#ifndef GAINWARDEN_WATCH_RELOAD_H
#define GAINWARDEN_WATCH_RELOAD_H

#include "watch/saying.h"

enum { RELOAD_SAID_SIZE = 600 };

/* Tells which files are running. */
uint32_t watch_configuration(const struct session *session);

/* Adds the problems that the shows' cues have with the desks that are watched, `with` in place of
 * the session of the same desk; NULL: with the sessions as they are. */
void watch_check_cues(const struct watch_shared *shared, const struct session *instead_of,
                      const struct session *with, struct problems *problems);

/* Reads the files anew, and says on the desk what changed, which `said` gets too. False, with what
 * is wrong, and nothing has changed. */
bool watch_reload(struct watch_desk *desk, struct problems *problems, char said[RELOAD_SAID_SIZE]);

/* What is said then. */
extern const char watch_not_reloaded[];

/* The same, and why not is told to all who listen. */
void watch_reload_or_say(struct watch_desk *desk);

/* Whether other proofs are kept than the watch goes by. */
bool watch_proofs_are_new(const struct watch_desk *desk);

/* The same with a session that was read already, which is taken over with what it tells.
 * `same_link`: it has the same profile and desk, and the conversation goes on. */
void watch_take_session(struct watch_desk *desk, struct session *session, struct saying_sinks sinks,
                        bool same_link);

#endif
