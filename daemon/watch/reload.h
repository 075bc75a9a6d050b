/* SPDX-License-Identifier: MIT */
/* Other files while the watch runs: all or nothing. What is told, quieted and approved stays. */
#ifndef GAINWARDEN_WATCH_RELOAD_H
#define GAINWARDEN_WATCH_RELOAD_H

#include <stdbool.h>
#include <stdint.h>

struct problems;
struct session;
struct watch_desk;

enum { RELOAD_SAID_SIZE = 600 };

/* Tells which files are running. */
uint32_t watch_configuration(const struct session *session);

/* Reads the files anew. False, with what is wrong, and nothing has changed. `said` gets what did.
 */
bool watch_reload(struct watch_desk *desk, struct problems *problems, char said[RELOAD_SAID_SIZE]);

/* The same with a session that was read already, which is taken over. */
void watch_take_session(struct watch_desk *desk, struct session *session);

#endif
