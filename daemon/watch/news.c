/* SPDX-License-Identifier: MIT */
#include "watch/news.h"

#include <stdio.h>

#include "check/check.h"
#include "report/report.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/saying.h"
#include "watch/words.h"

static void
on_message(void *context, const struct message *message)
{
    struct watch_desk *desk = context;

    for (size_t i = 0; i < message->count; i++)
        kept_edge(desk->kept, &message->edges[i]);
    saying_message(desk->saying, message, watcher_quiets(desk->watcher));
}

static void
on_edge(void *context, const struct event *event, enum hidden hidden, int by)
{
    struct watch_desk *desk = context;
    char text[WATCH_WORDS_SIZE];

    saying_edge(desk->saying, event, hidden, watch_hidden_by(desk, hidden, by, text),
                watcher_room(desk->watcher));
}

static void
on_room(void *context, enum room from, enum room to, const char *why)
{
    struct watch_desk *desk = context;

    desk->room_ms = watch_now_ms(desk);
    saying_room(desk->saying, from, to, why);
    kept_room(desk->kept);
}

static void
on_anchor(void *context)
{
    struct watch_desk *desk = context;

    desk->shared->way->save_anchor(desk);
}

static void
on_trace(void *context, const struct finding *finding, enum life_state from, enum life_state to,
         const char *why)
{
    const struct watch_desk *desk = context;
    char object[REPORT_OBJECT_SIZE];

    fprintf(stderr, "gainwarden: [%s] %s: %s -> %s (%s)\n", finding->check->id,
            report_object(desk->session->engine, finding->object, object), life_state_name(from),
            life_state_name(to), why);
}

struct watcher *
watch_new_watcher(struct watch_desk *desk, struct session *session, enum room room)
{
    struct watcher_owner owner = {
        on_message, on_edge, on_room, on_anchor, desk->shared->options->trace ? on_trace : NULL,
        desk};
    struct watcher_settings settings = {20, 4};
    struct watcher *watcher;

    if (session->file)
        settings = (struct watcher_settings){(size_t)session->file->watch.recall_values,
                                             (size_t)session->file->watch.recall_objects};
    watcher = watcher_new(session->engine, settings, room, owner);
    session_watch_spectra(session);
    return watcher;
}
