/* A session's desk as a state. */
#ifndef GAINWARDEN_STATE_OF_H
#define GAINWARDEN_STATE_OF_H

#include "session.h"
#include "state_file.h"

/* As it is at now_ms; not approved. Free its desk with desk_free(). */
struct state state_of(const struct session *session, int64_t now_ms);

#endif
