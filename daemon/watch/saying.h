/* SPDX-License-Identifier: MIT */
/* What the watch says of one desk, and to whom: lines on the terminal, the latest of them for the
 * screen, the journal, the chat hook, JSON lines, the cue.
 */
#ifndef GAINWARDEN_WATCH_SAYING_H
#define GAINWARDEN_WATCH_SAYING_H

#include "base/clock.h"
#include "watch/kept.h"
#include "watch/record.h"
#include "watch/shared.h"
#include "watcher/watcher.h"

enum {
    SAYING_LINE_SIZE = 1400,
    SAYING_EVENTS = 30,
    SAYING_EVENT_MOST = 239, /* bytes of a line */
    SAYING_EVENT_SIZE = SAYING_EVENT_MOST + CLOCK_SIZE + 2
};

struct saying;

/* Everything handed in outlives it. It is told what became of what is kept. */
struct saying *saying_new(const struct watch_shared *shared, const struct session *session,
                          struct kept *kept, struct record *record);
void saying_free(struct saying *saying);

/* Standard output is for people, and not for JSON lines. */
bool saying_has_stdout(const struct session *session);

/* ---- who is told besides the terminal ---- */

/* NULL: the show file names none. */
struct saying_sinks {
    struct chat *chat;
    struct lines *lines;
    struct cue *cue;
};

/* Opens what the session's show file names. False with the problems, and nothing is open. */
bool saying_open_sinks(struct saying *saying, const struct session *session,
                       struct saying_sinks *sinks, struct problems *problems);

/* From now on these are told, in place of those before; taken over. */
void saying_set_sinks(struct saying *saying, struct saying_sinks sinks);

/* NULL: nobody reads a chat. */
struct chat *saying_chat(const struct saying *saying);

/* The files that are written are opened anew. */
void saying_reopen(struct saying *saying);

/* ---- lines ---- */

/* One line on the terminal, with the time before it. */
void saying_line(struct saying *saying, const char *line);

/* The same of what a replay cannot find out by itself: trouble with files and hooks. */
void saying_outside(struct saying *saying, const char *line);

/* The regular all-clear, for machines too. */
void saying_still(struct saying *saying, const char *line);

/* The same to the chat hook besides. `event` names it to machines. */
void saying_to_all(struct saying *saying, const char *event, enum weight weight, const char *line);

/* The first page is to come, and lines wait for it; it is there. */
void saying_wait_for_page(struct saying *saying);
void saying_go_on(struct saying *saying);

/* Nothing more is said, or nobody hears it any more. */
void saying_stop(struct saying *saying);
bool saying_has_stopped(const struct saying *saying);

/* The latest lines, oldest first, each with its time; how many. */
size_t saying_events(const struct saying *saying, char events[SAYING_EVENTS][SAYING_EVENT_SIZE]);

/* ---- what the watcher tells ---- */

void saying_message(struct saying *saying, const struct message *message,
                    const struct quiets *quiets);

/* The message to come begins with this line in place of its cause's; NULL: with that. */
void saying_begin_with(struct saying *saying, const char *head);

/* `by`: what holds it back, in words. */
void saying_edge(struct saying *saying, const struct event *event, enum hidden hidden,
                 const char *by, enum room room);

/* Somebody of this name has seen it: for machines. */
void saying_seen(struct saying *saying, const struct finding *finding, const char *by);

void saying_room(struct saying *saying, enum room from, enum room to, const char *why);

#endif
