/* SPDX-License-Identifier: MIT */
/* `gainwarden replay`: a recorded watch once more, as fast as the processor goes. The watch's own
 * code runs, over a clock that stands (stand.h) and a link to which is told what happened to it.
 *
 * Timers of the watch fire where the recording says that the watch woke up for one, so that the
 * same is said of the same moment. One that the recording does not know, because it was made by
 * another version, fires LATE_MS behind its time at the latest.
 */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "command/replay.h"
#include "command/table.h"
#include "loop/loop.h"
#include "loop/stand.h"
#include "show/saved_of.h"
#include "show/session.h"
#include "watch/desk.h"
#include "watch/replay.h"

enum {
    LATE_MS = 100,
    FIRED_MOST = 20000 /* between two lines: a watch that woke so often would have noted it */
};

struct replay {
    struct watch_shared shared;
    struct watch_past past;
    struct session session;
    struct watch_desk *desk;
    struct stand *stand;
    struct recording_reader *reader;
    const char *path;
    char name[1100];  /* of the first line, for the problems */
    double begun_s;   /* wall time at 0 ms, as the recording's clock goes by now */
    int64_t stop_ms;  /* --at; INT64_MAX: to the end */
    int64_t least_ms; /* the recording must last so long */
    bool reached;     /* that time */
    bool stopped;     /* the watch was */
    bool ended;       /* nothing more is to be done */
    bool unheard;     /* standard output takes nothing more, which was told */
};

/* ---- time ---- */

static void
move(struct replay *replay, int64_t now_ms, int64_t woke_ms)
{
    stand_move(replay->stand, now_ms, woke_ms);
    clock_stand_at(replay->begun_s + (double)stand_now_ms(replay->stand) / 1000);
}

static void
fire(struct replay *replay)
{
    int64_t due_ms = stand_next_ms(replay->stand);

    move(replay, due_ms, due_ms);
    stand_fire(replay->stand);
    watch_desk_before_sleep(replay->desk);
}

static void
fire_until(struct replay *replay, int64_t until_ms)
{
    for (int i = 0; i < FIRED_MOST && !replay->ended; i++) {
        if (stand_next_ms(replay->stand) > until_ms)
            return;
        fire(replay);
    }
}

/* ---- lines ---- */

static void
on_output_lost(void *context)
{
    struct replay *replay = context;

    replay->ended = replay->unheard = true;
}

static void
on_changed(void *context)
{
    (void)context;
}

static void
apply(struct replay *replay, const struct recorded *recorded, struct problems *problems)
{
    fire_until(replay, recorded->t_ms - LATE_MS);
    move(replay, recorded->t_ms, recorded->t_ms);
    if (recorded->kind == RECORDED_CLOCK) {
        replay->begun_s = json_number(recorded->what) - (double)recorded->t_ms / 1000;
        move(replay, recorded->t_ms, recorded->t_ms);
    } else if (recorded->kind == RECORDED_WAKE) {
        while (stand_next_ms(replay->stand) <= recorded->t_ms)
            stand_fire(replay->stand);
    } else if (!watch_desk_replay(replay->desk, recorded, problems)) {
        replay->ended = true;
        return;
    }
    replay->stopped = recorded->kind == RECORDED_STOPPED;
    replay->ended |= replay->stopped;
    if (replay->ended || recorded->more)
        return;
    move(replay, recorded->until_ms, recorded->t_ms);
    watch_desk_before_sleep(replay->desk);
}

static void
run(struct replay *replay, struct problems *problems)
{
    struct recorded recorded;

    while (!replay->ended && recording_next(replay->reader, &recorded)) {
        if (recorded.t_ms > replay->stop_ms) {
            fire_until(replay, replay->stop_ms);
            move(replay, replay->stop_ms, replay->stop_ms);
            replay->reached = true;
            return;
        }
        apply(replay, &recorded, problems);
    }
    replay->reached =
        replay->stop_ms == INT64_MAX || stand_now_ms(replay->stand) >= replay->least_ms;
}

/* ---- the first line ---- */

static const char *
text_of(const struct json *json, const char *key)
{
    const struct json *text = json_get(json, key);

    return text ? json_string(text) : NULL;
}

/* A saved desk that the recording holds, of this desk. NULL with the problems. */
static struct desk *
desk_of(const struct replay *replay, const char *key, struct problems *problems)
{
    const char *text = text_of(recording_reader_head(replay->reader), key);
    struct saved *saved;
    struct desk *desk = NULL;
    char name[1200];

    snprintf(name, sizeof name, "%s: %s", replay->name, key);
    saved = saved_file_parse(text, strlen(text), name, problems);
    if (saved && saved_file_fits(saved, engine_desk(replay->session.engine), name, problems)) {
        desk = saved->desk;
        saved->desk = NULL;
    }
    saved_free(saved);
    return desk;
}

/* HH:MM:SS, the first time it is that late, or seconds from the beginning. */
static bool
read_at(struct replay *replay, const char *at, struct problems *problems)
{
    int hours, minutes, seconds, offset_s = clock_offset_s(), length = 0;
    double number, day_s;
    char *end;

    replay->stop_ms = INT64_MAX;
    if (!at)
        return true;
    if (sscanf(at, "%2d:%2d:%2d%n", &hours, &minutes, &seconds, &length) == 3 && !at[length] &&
        hours >= 0 && hours < 24 && minutes >= 0 && minutes < 60 && seconds >= 0 && seconds < 61) {
        day_s = fmod(replay->begun_s + offset_s, 86400);
        number = hours * 3600 + minutes * 60 + seconds - day_s;
        replay->least_ms = (int64_t)((number < -1 ? number + 86400 : number) * 1000);
        replay->stop_ms = replay->least_ms + 999; /* what is told with that time belongs to it */
        return true;
    }
    number = strtod(at, &end);
    if (end != at && !*end && number >= 0 && number < 1e7) {
        replay->stop_ms = replay->least_ms = (int64_t)(number * 1000);
        return true;
    }
    problems_add(problems,
                 "--at=%s: must be a time of day such as 21:37:05, or seconds from the beginning",
                 at);
    return false;
}

static bool
restore(struct replay *replay, struct problems *problems)
{
    const struct json *head = recording_reader_head(replay->reader);
    struct session_parts parts = {json_get(head, "profile"),
                                  json_get(head, "show"),
                                  json_get(head, "stage"),
                                  text_of(head, "approved"),
                                  text_of(head, "proved"),
                                  text_of(head, "host"),
                                  (int)json_number(json_get(head, "port"))};
    struct desk *desk;

    replay->begun_s = json_number(json_get(head, "at_s"));
    clock_set_offset((int)json_number(json_get(head, "offset_s")));
    move(replay, 0, 0);
    if (!read_at(replay, replay->shared.options->at, problems) ||
        !session_restore(&replay->session, &parts, replay->name, problems))
        return false;
    if (text_of(head, "desk") && (desk = desk_of(replay, "desk", problems))) {
        engine_take_values(replay->session.engine, desk);
        desk_free(desk);
    }
    if (text_of(head, "anchor"))
        replay->past.anchor = desk_of(replay, "anchor", problems);
    replay->past.kept = json_get(head, "kept");
    return problems->count == 0;
}

/* ---- all of it ---- */

static bool
save(struct replay *replay, struct problems *problems)
{
    const char *path = replay->shared.options->save;

    if (!path || saved_of_write(&replay->session, stand_now_ms(replay->stand), path))
        return true;
    problems_add(problems, "%s: cannot write: %s", path, strerror(errno));
    return false;
}

static void
tell_end(const struct replay *replay)
{
    size_t torn = recording_reader_torn(replay->reader);

    if (replay->stop_ms != INT64_MAX || replay->stopped)
        return;
    if (torn > 0)
        fprintf(stderr, "gainwarden: %s:%zu: the last line is torn: replayed up to it\n",
                replay->path, torn);
    else
        fprintf(stderr, "gainwarden: %s: ends before the watch was stopped\n", replay->path);
}

static void
watch_again(struct replay *replay, struct problems *problems)
{
    const struct json *head = recording_reader_head(replay->reader);
    struct watch_shared *shared = &replay->shared;

    shared->loop = loop_new_standing(replay->stand);
    replay->desk = watch_desk_open(shared, &replay->session, NULL);
    if (json_get(head, "desk"))
        watch_desk_replay_begin(replay->desk, head);
    watch_desk_before_sleep(replay->desk);
    run(replay, problems);
    if (replay->unheard)
        problems_add(problems, "%s: was not replayed to its end", replay->path);
    if (problems->count == 0 && !replay->reached)
        problems_add(problems, "%s: --at=%s lies behind its end", replay->path,
                     shared->options->at);
    if (problems->count == 0 && save(replay, problems))
        tell_end(replay);
    watch_desk_close(replay->desk);
    loop_free(shared->loop);
}

void
replay_run(struct recording_reader *reader, const char *path, const struct options *options,
           struct problems *problems)
{
    struct replay replay = {.shared = {.way = &watch_replayed,
                                       .options = options,
                                       .output_lost = on_output_lost,
                                       .changed = on_changed,
                                       .past = &replay.past,
                                       .context = &replay},
                            .past = {.path = path},
                            .stand = stand_new(),
                            .reader = reader,
                            .path = path};

    snprintf(replay.name, sizeof replay.name, "%s:1", path);
    if (restore(&replay, problems))
        watch_again(&replay, problems);
    desk_free(replay.past.anchor);
    session_release(&replay.session);
    stand_free(replay.stand);
}

int
command_replay(const struct options *options)
{
    const char *path = options->words[0];
    struct recording_reader *reader = NULL;
    struct problems problems = {0};

    if (!saved_of_may_make(options->save))
        return EXIT_USAGE;
    if (!path)
        problems_add(&problems, "replay needs a recording: `gainwarden watch --record FILE` makes "
                                "one");
    else
        reader = recording_read(path, &problems);
    if (reader)
        replay_run(reader, path, options, &problems);
    recording_reader_free(reader);
    fflush(stdout); /* so that what is wrong stands last */
    return problems_tell(&problems) ? EXIT_CLEAN : EXIT_USAGE;
}
