/* SPDX-License-Identifier: MIT */
/* A session's desk as one to save. */
#ifndef GAINWARDEN_SAVED_OF_H
#define GAINWARDEN_SAVED_OF_H

#include "saved/file.h"
#include "show/session.h"

/* A desk of the session, today's or one of its past, as it is at now_ms; not approved. Free the
 * saved desk, which is a copy, with desk_free(). */
struct saved saved_of(const struct session *session, const struct desk *desk, int64_t now_ms);

/* True when nothing would be lost by saving to this file; NULL: nothing is to be saved. Else told
 * on standard error. */
bool saved_of_may_make(const char *path);

/* Writes the session's desk to the file. False with errno set. */
bool saved_of_write(const struct session *session, int64_t now_ms, const char *path);

#endif
