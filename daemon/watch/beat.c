/* SPDX-License-Identifier: MIT */
#include "watch/beat.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/atomic_file.h"
#include "base/clock.h"
#include "core/need.h"
#include "watch/handles.h"
#include "watch/saying.h"
#include "watch/words.h"

struct beat {
    struct watch_desk *desk;
    struct loop_timer *timer;
    bool failing; /* it cannot be written, and that was told */
};

/* Once when it cannot be written, and once when it can be again; errno is the write's. */
static void
tell(struct beat *beat, bool good)
{
    const char *path = beat->desk->session->file->tell.heartbeat;
    char line[400];

    if (good == !beat->failing)
        return;
    beat->failing = !good;
    snprintf(line, sizeof line, "the heartbeat file %s %s%s", path,
             good ? "is written again" : "cannot be written: ", good ? "" : strerror(errno));
    saying_outside(beat->desk->saying, line);
}

static struct json *
beat_json(const struct watch_desk *desk)
{
    struct link_figures figures = link_figures(desk->link);
    const struct desk *model = engine_desk(desk->session->engine);
    struct json *json = json_new_object();
    char at[CLOCK_SIZE], open[WATCH_WORDS_SIZE];

    json_add_string(json, "at", clock_rfc3339(at));
    json_add_string(json, "show", session_name(desk->session));
    json_add_string(json, "room", room_name(watcher_room(desk->watcher)));
    json_add_string(json, "link", link_state_name(link_state(desk->link)));
    if (figures.last_heard_ms >= 0)
        json_add_number(json, "heard_s_ago",
                        (double)(loop_now_ms(desk->shared->loop) - figures.last_heard_ms) / 1000);
    json_add_number(json, "known", (double)desk_count_state(model, VALUE_KNOWN));
    json_add_number(json, "stale", (double)desk_count_state(model, VALUE_STALE));
    json_add_string(json, "open", watch_count_open(desk->session->engine, open));
    return json;
}

static void
on_beat(void *context)
{
    struct beat *beat = context;
    struct json *json = beat_json(beat->desk);
    char *text = json_print(json, false);

    tell(beat,
         atomic_file_write(beat->desk->session->file->tell.heartbeat, text, strlen(text), 0644));
    free(text);
    json_free(json);
}

struct beat *
beat_new(struct watch_desk *desk)
{
    struct beat *beat = need_memory(1, sizeof *beat);

    beat->desk = desk;
    beat->timer = loop_timer_open(desk->shared->loop, on_beat, beat);
    return beat;
}

void
beat_free(struct beat *beat)
{
    if (!beat)
        return;
    loop_timer_close(beat->timer);
    free(beat);
}

void
beat_start(struct beat *beat)
{
    const struct show_file *file = beat->desk->session->file;

    beat->failing = false;
    if (file && file->tell.heartbeat)
        loop_timer_start(beat->timer, 0, (int64_t)(file->tell.heartbeat_every_s * 1000));
    else
        loop_timer_stop(beat->timer);
}
