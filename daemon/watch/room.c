/* SPDX-License-Identifier: MIT */
#include "watch/room.h"

#include "base/clock.h"
#include "show/timetable.h"
#include "watch/handles.h"
#include "watcher/watcher.h"

enum room
watch_first_room(const struct session *session)
{
    enum room room = session->file ? session->file->room.begin : ROOM_DOORS;
    time_t since;

    if (session->file)
        timetable_room(&session->file->room, clock_now(), &room, &since);
    return room;
}

void
watch_set_room(struct watch_desk *desk, enum room room, const char *why, double for_s)
{
    const struct show_file *file = desk->session->file;
    int64_t now_ms = watch_now_ms(desk);

    if (for_s <= 0 && room == ROOM_CHANGEOVER)
        for_s = file ? file->room.changeover_s : CHANGEOVER_PRESET_S;
    watcher_set_room(desk->watcher, room, why,
                     for_s > 0 ? now_ms + (int64_t)(for_s * 1000) : INT64_MAX, now_ms);
}
