/* A session's desk as a state. */
#ifndef GAINWARDEN_STATE_OF_H
#define GAINWARDEN_STATE_OF_H

#include "session.h"
#include "state_file.h"

/* A desk of the session, today's or one of its past, as it is at now_ms; not approved. Free the
 * state's desk, which is a copy, with desk_free(). */
struct state state_of(const struct session *session, const struct desk *desk, int64_t now_ms);

/* Writes the session's desk to the file. False with errno set. */
bool state_of_save(const struct session *session, int64_t now_ms, const char *path);

#endif
