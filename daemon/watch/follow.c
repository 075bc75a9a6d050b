/* SPDX-License-Identifier: MIT */
#include "watch/follow.h"

#include <stdlib.h>

#include "core/need.h"
#include "loop/control.h"
#include "screen/view_json.h"
#include "watch/handles.h"
#include "watch/view.h"

enum { SECOND_MS = 1000, GAP_MS = SECOND_MS / FOLLOW_MOST_A_S };

struct follow {
    struct loop *loop;
    struct loop_timer *timer;
    struct watch_desk *const *desks;
    int count;
    int64_t sent_ms; /* when a view was last sent */
};

/* A line for whoever follows. */
static struct json *
line_with(const char *key, struct json *what)
{
    struct json *line = json_new_object();

    json_add_bool(line, "ok", true);
    json_add(line, key, what);
    return line;
}

static bool
is_followed(const struct follow *follow)
{
    int followers = 0;

    for (int i = 0; i < follow->count; i++)
        if (follow->desks[i])
            followers += control_followers(follow->desks[i]->control, FOLLOWS_SCREEN);
    return followers > 0;
}

struct json *
follow_view(const struct follow *follow, const struct watch_desk *desk)
{
    struct view_desk *views = need_memory((size_t)follow->count, sizeof *views);
    struct view view = {.desks = views, .desk_count = (size_t)follow->count};
    struct json *json;

    for (int i = 0; i < follow->count; i++) {
        watch_desk_view(follow->desks[i], &views[i]);
        if (follow->desks[i] == desk)
            view.chosen = (size_t)i;
    }
    json = view_json(&view);
    for (int i = 0; i < follow->count; i++)
        watch_desk_view_free(&views[i]);
    free(views);
    return json;
}

static void
send_views(struct follow *follow)
{
    for (int i = 0; i < follow->count; i++) {
        struct watch_desk *desk = follow->desks[i];
        struct json *line;

        if (control_followers(desk->control, FOLLOWS_SCREEN) == 0)
            continue;
        line = line_with("screen", follow_view(follow, desk));
        control_publish(desk->control, FOLLOWS_SCREEN, line);
        json_free(line);
    }
    follow->sent_ms = loop_now_ms(follow->loop);
    loop_timer_start(follow->timer, SECOND_MS, 0);
}

static void
on_time(void *context)
{
    struct follow *follow = context;

    if (is_followed(follow))
        send_views(follow);
}

struct follow *
follow_new(struct loop *loop, struct watch_desk *const *desks, int count)
{
    struct follow *follow = need_memory(1, sizeof *follow);

    *follow = (struct follow){.loop = loop,
                              .timer = loop_timer_open(loop, on_time, follow),
                              .desks = desks,
                              .count = count};
    return follow;
}

void
follow_free(struct follow *follow)
{
    loop_timer_close(follow->timer);
    free(follow);
}

void
follow_news(struct follow *follow)
{
    int64_t since_ms = loop_now_ms(follow->loop) - follow->sent_ms;

    if (!is_followed(follow))
        return;
    if (since_ms >= GAP_MS)
        send_views(follow);
    else
        loop_timer_start(follow->timer, GAP_MS - since_ms, 0);
}

void
follow_end(struct follow *follow)
{
    struct json *line = line_with("ended", json_new_bool(true));

    for (int i = 0; i < follow->count; i++)
        for (int what = FOLLOWS_SCREEN; what <= FOLLOWS_RING_OUT; what++)
            if (follow->desks[i] && follow->desks[i]->control)
                control_publish(follow->desks[i]->control, what, line);
    json_free(line);
    loop_timer_stop(follow->timer);
}
