/* SPDX-License-Identifier: MIT */
/* What outlasts a restart: what people were told of, what was not delivered yet, the room and
 * what is quieted. All that happened in one wake-up is one batch, so that a finding counts as told
 * if and only if its message is there to be delivered.
 *
 *   {"told": [{"check", "input", "mix", "weight", "severity", "since_s", "says", "do"}],
 *    "untold": [{"check", "input", "mix"}],
 *    "messages": [{"id", "weight", "text"}], "ended": ["id"],
 *    "seen": [{"check", "input", "mix", "weight", "severity", "by", "at_s"}],
 *    "lately": [{"at_s", "says"}],
 *    "jumps": [{"is", "row", "column", "from", "to", "gap_s", "ago_s"}],
 *    "room": {"is", "before", "until_s", "left_s"},
 *    "quiets": [{"number", "check", "input", "mix", "player", "stop_too", "meant", "why", "by",
 *                "until_s", "left_s"}],
 *    "stopped": true, "at_s": ...}
 *
 * Times are seconds since 1970, because another run has another monotonic clock. What ends by
 * itself says besides how much of it is left, anew every minute. earlier.h reads it back.
 */
#ifndef GAINWARDEN_WATCH_KEPT_H
#define GAINWARDEN_WATCH_KEPT_H

#include "base/json.h"
#include "loop/loop.h"
#include "saved/keep.h"
#include "show/session.h"
#include "watch/kept_json.h"
#include "watch/lately.h"
#include "watch/noticed.h"
#include "watcher/watcher.h"

struct kept;

struct kept_owner {
    /* A message is on disk, and may go to the hook. */
    void (*deliver)(void *context, enum weight weight, const char *id, const char *text);
    /* The file cannot be written, or can be again: a line that says so. */
    void (*trouble)(void *context, const char *line);
    void *context;
};

/* It knows of nothing, and keeps it in no file. The session outlives it. */
struct kept *kept_new(struct loop *loop, const struct session *session);
void kept_free(struct kept *kept);

/* Who hears of it, before the first commit. */
void kept_set_owner(struct kept *kept, struct kept_owner owner);

/* Whose room and quietings it keeps from now on. */
void kept_set_watcher(struct kept *kept, struct watcher *watcher);

/* Where it is written to from now on, taken over. */
void kept_set_file(struct kept *kept, struct keep *keep);

/* ---- what an earlier watch left ---- */

void kept_had_told(struct kept *kept, size_t slot, const struct kept_told *told);
void kept_had_untold(struct kept *kept, size_t slot);
void kept_had_message(struct kept *kept, const char *id, enum weight weight, const char *text);
void kept_had_ended(struct kept *kept, const char *id);

/* What people were told of that place; NULL: nothing. */
const struct kept_told *kept_told(const struct kept *kept, size_t slot);

/* Gives the messages that are not delivered yet to the hook, which is new and knows of none. */
void kept_offer(struct kept *kept);

/* Who has seen what, and what was said lately. */
struct noticed *kept_noticed(struct kept *kept);
struct lately *kept_lately(struct kept *kept);

/* When the last of it was said; before that, when this watch began. */
int64_t kept_said_ms(const struct kept *kept);

/* ---- what happens ---- */

/* People are told of it. */
void kept_edge(struct kept *kept, const struct edge *edge);

/* Nothing more is told of that place, which is no place of this desk. */
void kept_gone(struct kept *kept, const struct json *place);

/* It goes to the hook once it is on disk. */
void kept_message(struct kept *kept, const char *id, enum weight weight, const char *text);

/* Somebody of this name has seen that it is open. */
void kept_notice(struct kept *kept, const struct finding *finding, const char *by);

/* People were told this line. */
void kept_say(struct kept *kept, const char *line);
void kept_ended(struct kept *kept, const char *id);
void kept_room(struct kept *kept);
void kept_quiets(struct kept *kept);
void kept_stopped(struct kept *kept);

/* Everything that is open was told on the first page. */
void kept_all(struct kept *kept);

/* Once a minute: how long what ends by itself still lasts. */
void kept_minute(struct kept *kept);

/* The session has another engine than that one now. */
void kept_carry(struct kept *kept, const struct engine *from);

/* Writes what happened since the last time, and lets its messages go out. */
void kept_commit(struct kept *kept);

/* All of it in one record, for a recording: without messages. */
struct json *kept_snapshot(const struct kept *kept);

#endif
