/* SPDX-License-Identifier: MIT */
#include "watch/room.h"

#include "base/clock.h"
#include "show/timetable.h"
#include "watch/handles.h"

enum room
watch_first_room(const struct session *session)
{
    enum room room = session->file ? session->file->room.begin : ROOM_DOORS;
    time_t since;

    if (session->file)
        timetable_room(&session->file->room, clock_now(), &room, &since);
    return room;
}

int64_t
watch_room_until_ms(const struct watch_desk *desk, enum room room, double for_s)
{
    const struct show_file *file = desk->session->file;

    if (for_s <= 0 && room == ROOM_CHANGEOVER)
        for_s = file ? file->room.changeover_s : CHANGEOVER_PRESET_S;
    return for_s > 0 ? loop_now_ms(desk->shared->loop) + (int64_t)(for_s * 1000) : INT64_MAX;
}
