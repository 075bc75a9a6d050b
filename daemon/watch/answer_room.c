/* SPDX-License-Identifier: MIT */
#include "watch/answer.h"

#include "watch/earlier.h"
#include "watch/kept.h"
#include "watch/room.h"
#include "watch/words.h"

void
answer_add_room(const struct watch_desk *desk, const struct answer *answer)
{
    enum room room = watcher_room(desk->watcher);
    char left[WATCH_LEFT_SIZE];

    answer_line(answer, "room %s: %s%s%s", room_name(room), room_rows[room].help,
                *watch_room_left(desk, left) ? "; " : "", left);
    json_add_string(answer->json, "room", room_name(room));
}

const char *
answer_room(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    const char *to = json_string_at(request, "to");
    enum room room = room_find(to);

    if (*to && room == ROOMS)
        return "no such word for the room; there are line-check, doors, show and changeover";
    if (*to) {
        watch_set_room(desk, room, "by command",
                       answer_number(request, "for_s", EARLIER_LONGEST_S));
        kept_room(desk->kept);
        watch_run(desk);
        kept_commit(desk->kept);
    }
    answer_add_room(desk, answer);
    return NULL;
}
