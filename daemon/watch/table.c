/* SPDX-License-Identifier: MIT */
#include "watch/table.h"

#include <stdlib.h>

#include "base/clock.h"
#include "core/need.h"
#include "watch/handles.h"
#include "watch/judge.h"
#include "watch/record.h"
#include "watch/room.h"
#include "watcher/watcher.h"

struct table {
    struct watch_desk *desk;
    struct loop_timer *timer;
    time_t at;      /* when it changes the room next; 0: it does not */
    enum room room; /* to this */
};

/* An entry is due, or the clock was set. */
static void
on_table(void *context)
{
    struct table *table = context;
    struct watch_desk *desk = table->desk;
    const struct timetable *entries = &desk->session->file->room;
    time_t now = clock_now(), at;
    enum room room;

    record_note(desk->record, RECORDED_WAKE, NULL);
    if (table->at > 0 && now >= table->at && watcher_room(desk->watcher) != table->room)
        watcher_set_room(desk->watcher, table->room, "by the timetable",
                         watch_room_until_ms(desk, table->room, 0),
                         loop_now_ms(desk->shared->loop));
    table->at = timetable_next(entries, now, &at, &room) ? at : 0;
    table->room = room;
    watch_run(desk);
    if (table->at > 0)
        loop_timer_start(table->timer, table->at - now < 60 ? (table->at - now) * 1000 + 1 : 60000,
                         0);
}

struct table *
table_new(struct watch_desk *desk)
{
    struct table *table = need_memory(1, sizeof *table);

    table->desk = desk;
    table->timer = loop_timer_open(desk->shared->loop, on_table, table);
    return table;
}

void
table_free(struct table *table)
{
    if (!table)
        return;
    loop_timer_close(table->timer);
    free(table);
}

void
table_start(struct table *table)
{
    const struct show_file *file = table->desk->session->file;

    table->at = 0;
    if (file && file->room.count > 0)
        loop_timer_start(table->timer, 0, 0);
    else
        loop_timer_stop(table->timer);
}
