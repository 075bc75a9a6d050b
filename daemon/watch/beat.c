/* SPDX-License-Identifier: MIT */
#include "watch/beat.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/atomic_file.h"
#include "base/clock.h"
#include "watch/handles.h"
#include "watch/saying.h"
#include "watch/words.h"

/* Once when it cannot be written, and once when it can be again; errno is the write's. */
static void
tell(struct watch_desk *desk, const char *path, bool good)
{
    char line[400];

    if (good == !desk->beat.failing)
        return;
    desk->beat.failing = !good;
    snprintf(line, sizeof line, "the heartbeat file %s %s%s", path,
             good ? "is written again" : "cannot be written: ", good ? "" : strerror(errno));
    saying_outside(desk->saying, line);
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
                        (double)(watch_now_ms(desk) - figures.last_heard_ms) / 1000);
    json_add_number(json, "known", (double)desk_count_state(model, VALUE_KNOWN));
    json_add_number(json, "stale", (double)desk_count_state(model, VALUE_STALE));
    json_add_string(json, "open", watch_count_open(desk->session->engine, open));
    return json;
}

void
beat_due(void *context)
{
    struct watch_desk *desk = context;
    const char *path = desk->session->file->tell.heartbeat;
    struct json *json = beat_json(desk);
    char *text = json_print(json, false);

    tell(desk, path, atomic_file_write(path, text, strlen(text), 0644));
    free(text);
    json_free(json);
}

void
beat_start(struct watch_desk *desk)
{
    const struct show_file *file = desk->session->file;

    desk->beat.failing = false;
    if (file && file->tell.heartbeat)
        loop_timer_start(desk->beat.timer, 0, (int64_t)(file->tell.heartbeat_every_s * 1000));
    else
        loop_timer_stop(desk->beat.timer);
}
