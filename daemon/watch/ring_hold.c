/* SPDX-License-Identifier: MIT */
#include "watch/ring_hold.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "watch/handles.h"
#include "watch/record.h"
#include "watcher/watcher.h"

static void
hold(struct watch_desk *desk, int mix)
{
    int count = desk_count(engine_desk(desk->session->engine), INDEX_MIX);
    bool *mixes = need_memory((size_t)count + 1, sizeof *mixes);

    for (int i = 0; i < count; i++)
        mixes[i] = mix < 0 || i == mix;
    watcher_ring_out(desk->watcher, mixes, watch_now_ms(desk));
    free(mixes);
    watch_run(desk);
}

static void
let_go(struct watch_desk *desk)
{
    watcher_end_ring_out(desk->watcher, watch_now_ms(desk));
    watch_run(desk);
}

static struct json *
request_to(const char *what)
{
    struct json *request = json_new_object();

    json_add_string(request, "do", what);
    return request;
}

void
ring_hold_begin(struct watch_desk *desk, int mix)
{
    struct json *request = request_to("hold");

    if (mix >= 0)
        json_add_number(request, "mix", mix + 1);
    record_note(desk->record, RECORDED_ASKED, request);
    hold(desk, mix);
}

void
ring_hold_end(struct watch_desk *desk)
{
    record_note(desk->record, RECORDED_ASKED, request_to("hold-end"));
    let_go(desk);
}

bool
ring_hold_again(struct watch_desk *desk, const struct json *request)
{
    const char *what = json_string_at(request, "do");
    double mix = json_number_at(request, "mix", 0);

    if (strcmp(what, "hold") == 0)
        hold(desk, mix >= 1 && mix <= 1e6 ? (int)mix - 1 : -1);
    else if (strcmp(what, "hold-end") == 0)
        let_go(desk);
    else
        return false;
    return true;
}
