/* SPDX-License-Identifier: MIT */
#include "watch/table.h"

#include "base/clock.h"
#include "show/timetable.h"
#include "watch/handles.h"
#include "watch/record.h"
#include "watch/room.h"
#include "watcher/watcher.h"

void
table_due(void *context)
{
    struct watch_desk *desk = context;
    struct table *table = &desk->table;
    time_t now = clock_now(), at;
    enum room room;

    record_note(desk->record, RECORDED_WAKE, NULL);
    if (table->at > 0 && now >= table->at && watcher_room(desk->watcher) != table->room)
        watch_set_room(desk, table->room, "by the timetable", 0);
    table->at = timetable_next(&desk->session->file->room, now, &at, &room) ? at : 0;
    table->room = room;
    watch_run(desk);
    if (table->at > 0)
        loop_timer_start(table->timer, table->at - now < 60 ? (table->at - now) * 1000 + 1 : 60000,
                         0);
}

void
table_start(struct watch_desk *desk)
{
    const struct show_file *file = desk->session->file;

    desk->table.at = 0;
    if (file && file->room.count > 0)
        loop_timer_start(desk->table.timer, 0, 0);
    else
        loop_timer_stop(desk->table.timer);
}
