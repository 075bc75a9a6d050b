/* SPDX-License-Identifier: MIT */
#include "desk/room.h"

#include "desk/param.h"

const struct room_row room_rows[ROOMS] = {
    [ROOM_LINE_CHECK] = {WEIGHT_STOP, true,
                         "everything moves: only findings of weight stop are told"},
    [ROOM_DOORS] = {WEIGHT_NOTE, false, "everything is told"},
    [ROOM_SHOW] = {WEIGHT_FIX, false, "notes are held back"},
    [ROOM_CHANGEOVER] = {WEIGHT_STOP, true, "like line-check; it ends by itself"},
};

const char *
room_name(enum room room)
{
    return param_words(PARAM_DESK_ROOM)[room];
}

enum room
room_find(const char *name)
{
    int room = param_word(PARAM_DESK_ROOM, name);

    return room < 0 ? ROOMS : (enum room)room;
}
