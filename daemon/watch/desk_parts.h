/* What the files of one desk's watch share; nobody else includes it.
 *
 *   watch/desk.c     when it is judged, what goes by the clock, what it is made of
 *   watch/flapping.c when its coming and going is one story
 *   watch/link.c     what the link does, and what is said of it
 *   watch/say.c      messages and edges to terminal, chat, JSON lines, cue and journal
 *   watch/kept.c     what outlasts a restart: writing it
 *   watch/earlier.c  reading it back
 *   watch/anchor.c   the desk as it was set up, for after a restart
 *   watch/control.c  what the control socket is asked
 *   watch/reload.c   other files while it runs
 *   watch/view.c     what the screen shows
 *   watch/record.c   what a recording keeps of it
 *   watch/record_head.c  its first line
 *   watch/replay.c   the same done once more
 */
#ifndef GAINWARDEN_WATCH_DESK_PARTS_H
#define GAINWARDEN_WATCH_DESK_PARTS_H

#include <time.h>

#include "base/clock.h"
#include "link/link.h"
#include "link/reject_log.h"
#include "loop/control.h"
#include "tell/chat.h"
#include "tell/cue.h"
#include "tell/lines.h"
#include "watch/desk.h"
#include "watch/earlier.h"
#include "watch/flapping.h"
#include "watch/kept.h"
#include "watch/record.h"
#include "watcher/watcher.h"

enum { WATCH_LINE_SIZE = 1400, WATCH_EVENTS = 30 };

/* A line that was said, for the screen and for `status`. */
struct watch_event {
    char when[CLOCK_SIZE];
    char line[240];
};

/* Whoever is told besides the terminal; NULL: the show file names none. */
struct watch_sinks {
    struct chat *chat;
    struct lines *lines;
    struct cue *cue;
};

struct watch_desk {
    const struct watch_shared *shared;
    struct session *session;
    const char *show; /* the show file's path; NULL: none */
    struct link *link;
    struct watcher *watcher;
    struct watch_sinks sinks;
    struct control *control;
    struct kept *kept;
    struct earlier *earlier;
    struct flapping *flapping;
    struct record *record;
    struct loop_timer *wake, *table, *beat, *minute;
    bool beat_failing; /* the heartbeat file cannot be written, and that was told */
    bool read_once;    /* the first page was printed */
    bool reloaded;     /* the link was made anew, and reads for the first time */
    bool stopping;
    time_t table_at;      /* when the timetable changes the room next; 0: it does not */
    enum room table_room; /* to this */
    double told_room;     /* what PARAM_DESK_ROOM was last; -1: never heard */
    char *later;      /* lines that come behind the first page, each ended by a line feed; owned */
    bool page_first;  /* the page is still to come */
    const char *head; /* for the message in hand: in place of its cause's line */
    int64_t clear_ms; /* of the last all-clear to the hook */
    struct watch_event events[WATCH_EVENTS]; /* a ring */
    size_t event_count;
    struct reject_log rejects;
};

/* ---- watch/desk.c ---- */

/* Not while the desk is being read, since half a desk proves nothing. */
bool watch_may_judge(const struct watch_desk *desk);

/* Judges, tells, keeps, and sleeps until there is more. */
void watch_run(struct watch_desk *desk);

/* Sleeps until the watcher has something to do. */
void watch_sleep(struct watch_desk *desk);

/* A watcher over the session's engine. */
struct watcher *watch_new_watcher(struct watch_desk *desk, struct session *session, enum room room);

/* Opens what the show file names besides the terminal. False with the problems. */
bool watch_open_sinks(struct watch_desk *desk, const struct session *session,
                      struct watch_sinks *sinks, struct problems *problems);
void watch_close_sinks(struct watch_sinks sinks);

/* Until when what the room begins now lasts: changeover ends by itself. `for_s` 0: as the show file
 * says. */
int64_t watch_room_until_ms(const struct watch_desk *desk, enum room room, double for_s);

/* ---- watch/link.c ---- */

void watch_open_link(struct watch_desk *desk);

/* The flap timer: the link's coming and going may be over. */
void watch_on_flap_over(void *context);

/* ---- watch/say.c ---- */

/* One line on the terminal, with the time before it. */
void watch_say(struct watch_desk *desk, const char *line);

/* The regular all-clear, for machines too. */
void watch_say_still(struct watch_desk *desk, const char *line);

/* The same to the chat hook besides. `event` names it to machines. */
void watch_say_to_all(struct watch_desk *desk, const char *event, enum weight weight,
                      const char *line);

/* The same of what a replay cannot find out by itself: trouble with files and hooks. */
void watch_say_outside(struct watch_desk *desk, const char *line);

/* Prints what had to wait for the first page. */
void watch_say_later(struct watch_desk *desk);

/* The watcher's callbacks. */
void watch_on_message(void *context, const struct message *message);
void watch_on_edge(void *context, const struct event *event, enum hidden hidden, int by);
void watch_on_room(void *context, enum room from, enum room to, const char *why);
void watch_on_trace(void *context, const struct finding *finding, enum life_state from,
                    enum life_state to, const char *why);

/* "1 stop, 4 fix, 6 note, 0 not known" */
const char *watch_count_open(const struct watch_desk *desk, char line[200]);

/* "quieting 2 (re-patching)", "mix 3 Keys is muted", "doors": what holds a finding back. */
const char *watch_hidden_by(const struct watch_desk *desk, enum hidden hidden, int by,
                            char text[200]);

/* ---- watch/anchor.c ---- */

/* The watcher's callback: keeps what the desk is like now. */
void watch_on_anchor(void *context);

/* Gives the engine what was kept this evening; what is wrong with it is told on standard error. */
void watch_anchor_restore(struct watch_desk *desk);

/* ---- watch/control.c, watch/reload.c ---- */

/* "quieting 2, mix 3: ends in 9 min 55 s, held back 1 (re-patching)" */
void watch_quiet_text(const struct watch_desk *desk, const struct quiet *quiet, char *text,
                      size_t size);

struct json *watch_answer(void *context, const struct json *request);

/* The same of a recording. False when it is no request that moves anything. */
bool watch_asked(struct watch_desk *desk, const struct json *request);

/* Tells which files are running. */
uint32_t watch_configuration(const struct session *session);

/* Reads the files anew. False, with what is wrong, and nothing has changed. `said` gets what did.
 */
bool watch_reload(struct watch_desk *desk, struct problems *problems, char said[600]);

/* The same with a session that was read already, which is taken over. */
void watch_take_session(struct watch_desk *desk, struct session *session);

#endif
