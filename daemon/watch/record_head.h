/* SPDX-License-Identifier: MIT */
/* The first line of a recording, and the line of files that were read anew: everything that a watch
 * is begun with. What it sends, and where to, is left out.
 */
#ifndef GAINWARDEN_WATCH_RECORD_HEAD_H
#define GAINWARDEN_WATCH_RECORD_HEAD_H

#include "base/json.h"
#include "link/link.h"
#include "show/session.h"

/* Profile, show and approved desk, for a file that begins at this wall time. */
struct json *record_head(const struct session *session, double now_s);

/* The desk as it was set up, where that is known. */
void record_head_anchor(struct json *head, const struct session *session, int64_t now_ms);

/* What is known of the desk, of a recording that begins while it is watched. */
void record_head_desk(struct json *head, const struct session *session, const struct link *link,
                      int64_t now_ms);

/* The files that were read anew, with what was said of them. */
struct json *record_files(const struct session *session, const char *said);

#endif
