/* SPDX-License-Identifier: MIT */
/* What a recording keeps of a watch: all that came from outside, in the order it came. What follows
 * from it is not kept, because a replay finds it out anew. saved/recording.h is the file.
 *
 * Where nobody records, and once the file could not be written, the calls do nothing.
 */
#ifndef GAINWARDEN_WATCH_RECORD_H
#define GAINWARDEN_WATCH_RECORD_H

#include "base/options.h"
#include "link/link.h"
#include "loop/loop.h"
#include "saved/recording.h"
#include "show/session.h"

struct record;

/* The first line of a file that begins now, at this wall time. */
typedef struct json *record_head_fn(void *context, int64_t now_ms, double now_s);

struct record *record_new(struct loop *loop, record_head_fn *head, void *context);
void record_free(struct record *record);

/* Begins to record where the options say so; before the link is opened. False with the problems. */
bool record_open(struct record *record, const struct options *options, struct problems *problems);
void record_close(struct record *record);

/* For the link. NULL: nobody records. */
const struct link_tap *record_tap(const struct record *record);

/* Notes what happens, before anything is made of it. `what` is taken over; NULL: true. */
void record_note(struct record *record, enum recorded_kind kind, struct json *what);
/* `reading`: of a link that is steady; else NULL. */
void record_link(struct record *record, enum link_state to, const char *why,
                 const struct link_figures *reading);
void record_day(struct record *record, int day);

/* The figures of the first reading, as a line has them. */
void record_add_reading(struct json *json, const struct link_figures *figures);

/* The first line of a watch's recording, and the line of files that were read anew, with what was
 * said of them and whether the link went on: everything that a watch is begun with. What it sends, and where to, is left out. */
record_head_fn record_head;
struct json *record_files(const struct session *session, const char *said, bool same_link);

/* Before the loop sleeps: writes it, and, once all was judged, begins a new file where the old one
 * is full. `calm`: not in the middle of a recall or a reading, which begin with what was before.
 * NULL, or a line that says that it cannot be written and ends here. */
const char *record_end(struct record *record);
const char *record_turn(struct record *record, bool calm);

#endif
