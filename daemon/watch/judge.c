/* SPDX-License-Identifier: MIT */
#include "watch/judge.h"

#include "watch/changed.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/margins.h"
#include "watch/record.h"
#include "watch/room.h"
#include "watch/saying.h"

enum { SLEEP_MOST_MS = 60 * 60 * 1000, READING_MS = 100 };

void
judge_due(void *context)
{
    struct watch_desk *desk = context;

    record_note(desk->record, RECORDED_WAKE, NULL);
    watch_run(desk);
}

bool
watch_may_judge(const struct watch_desk *desk)
{
    return desk->judge.begun && link_state(desk->link) != LINK_READING &&
           !saying_has_stopped(desk->saying);
}

void
watch_sleep(struct watch_desk *desk)
{
    bool reading = watcher_settling(desk->watcher) && link_is_reading(desk->link);
    int64_t most_ms = reading ? READING_MS : SLEEP_MOST_MS; /* nobody calls when it has been read */
    int64_t next_ms = watcher_next_ms(desk->watcher);
    int64_t wait_ms = next_ms == INT64_MAX ? next_ms : next_ms - watch_now_ms(desk);

    if (wait_ms == INT64_MAX && !reading) {
        loop_timer_stop(desk->judge.wake);
        return;
    }
    wait_ms = wait_ms < 1 ? 1 : wait_ms > most_ms ? most_ms : wait_ms;
    loop_timer_start(desk->judge.wake, wait_ms, 0);
}

/* What the desk, or a cue that comes with it, says that the room is doing, when that is news. */
static const struct value *
named_room(const struct watch_desk *desk)
{
    const struct value *value =
        desk_value(engine_desk(desk->session->engine), PARAM_DESK_ROOM, 0, 0);

    return value->state == VALUE_KNOWN && value_number(value) != desk->judge.told_room ? value
                                                                                       : NULL;
}

static void
follow_room(struct watch_desk *desk)
{
    const struct value *value = named_room(desk);

    if (!value)
        return;
    desk->judge.told_room = value_number(value);
    watch_set_room(desk, (enum room)(int)value_number(value), "the desk says so", 0);
}

bool
watch_has_more(const struct watch_desk *desk)
{
    struct engine *engine = desk->session->engine;

    return engine_marked(engine) > 0 || moves_are_fresh(engine_moves(engine)) || named_room(desk);
}

void
watch_run(struct watch_desk *desk)
{
    if (!watch_may_judge(desk))
        return;
    follow_room(desk);
    watcher_set_reading(desk->watcher, link_is_reading(desk->link));
    watcher_run(desk->watcher, watch_now_ms(desk));
    if (watcher_settling(desk->watcher) && !link_is_reading(desk->link)) {
        link_read_again(desk->link); /* what is not pushed has to be asked for */
        watcher_set_reading(desk->watcher, link_is_reading(desk->link));
    }
    margins_follow(desk->margins, desk);
    if (desk->changed)
        changed_follow(desk->changed, desk);
    kept_commit(desk->kept);
    watch_sleep(desk);
}
