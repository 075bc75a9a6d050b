/* The watch over one desk: its link, when its checks run, and what is told of it.
 */
#ifndef GAINWARDEN_WATCH_DESK_H
#define GAINWARDEN_WATCH_DESK_H

#include "base/json.h"
#include "base/options.h"
#include "link/link.h"
#include "loop/loop.h"
#include "screen/view.h"
#include "show/session.h"

/* What the desks of one watch share. */
struct watch_shared {
    struct loop *loop;
    const struct options *options;
    bool several;                       /* lines begin with the show's name */
    bool unseen;                        /* the terminal hung up: nobody reads lines */
    bool has_screen;                    /* lines go to the screen's events alone */
    void (*output_lost)(void *context); /* the terminal is gone */
    void (*changed)(void *context);     /* there is something new to show */
    struct session *sessions; /* of all desks, session_count of them; each desk has its own */
    int session_count;
    struct desk_hosts *hosts; /* where the desks are, by the same numbers; NULL in a replay */
    struct watch_past *past;  /* NULL: a watch; else a replay: nothing is kept, nobody is told but
                                 standard output, and the link is told what happens */
    void *context;
};

struct watch_desk;

/* What a replay has in place of files, of the first line of a recording; belongs to it. */
struct watch_past {
    const char *path;        /* the recording */
    const struct json *kept; /* as kept.h has it; NULL: a watch without a past */
    struct desk *anchor;     /* taken over; NULL: none */
};

/* Adds the problems that the shows' cues have with the desks, `with` in place of the session of the
 * same desk; NULL: with the sessions as they are. */
void watch_check_cues(const struct watch_shared *shared, const struct session *instead_of,
                      const struct session *with, struct problems *problems);

/* Begins to watch; shared and session outlive it. `show`: the show file's path, or NULL. NULL, told
 * on standard error, when a sink or the kept file cannot be used as it stands. */
struct watch_desk *watch_desk_open(const struct watch_shared *shared, struct session *session,
                                   const char *show);
void watch_desk_close(struct watch_desk *desk);

/* Standard output is for people, and not for JSON lines. */
bool watch_has_stdout(const struct session *session);

/* Before the loop sleeps. */
void watch_desk_before_sleep(struct watch_desk *desk);

/* Says that it still watches, and what is open. */
void watch_desk_still(struct watch_desk *desk);

/* The date may have changed. */
void watch_desk_new_day(struct watch_desk *desk);

/* Tells what is still to be told, and that the watch ends; nothing after that. */
void watch_desk_stop(struct watch_desk *desk, int64_t lasted_ms);

/* Nothing waits for the chat hook that it would take. */
bool watch_desk_idle(const struct watch_desk *desk);

/* In one line how it stands. */
void watch_desk_status(const struct watch_desk *desk, char line[400]);

/* What the screen shows of it; the lists are given back with the other. */
void watch_desk_view(struct watch_desk *desk, struct view_desk *view);
void watch_desk_view_free(struct view_desk *view);

/* SIGHUP: files are read anew, and those that are written are opened anew. */
void watch_desk_hang_up(struct watch_desk *desk);

/* Does once more what a line of a recording says. False with the problems. */
struct recorded;
bool watch_desk_replay(struct watch_desk *desk, const struct recorded *recorded,
                       struct problems *problems);

/* The desk was read, as a recording's first line says, before it began. */
void watch_desk_replay_begin(struct watch_desk *desk, const struct json *head);

#endif
