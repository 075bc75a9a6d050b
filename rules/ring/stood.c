/* SPDX-License-Identifier: MIT */
#include "ring/stood.h"

#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "ring/ringing.h"

enum { MOVES_MOST = 4096 }; /* in three seconds: more is no hand */

void
stood_release(struct stood *stood)
{
    desk_free(stood->desk);
    free(stood->moves);
    *stood = (struct stood){0};
}

void
stood_begin(struct stood *stood, const struct desk *desk, int64_t now_ms)
{
    desk_free(stood->desk);
    stood->desk = desk_copy(desk);
    stood->since_ms = now_ms;
    stood->taken = false;
    stood->count = 0;
}

static void
make_room(struct stood *stood)
{
    if (stood->count < stood->room)
        return;
    stood->room = stood->room ? 2 * stood->room : 32;
    stood->moves = need_more(stood->moves, (size_t)stood->room, sizeof *stood->moves);
}

void
stood_moved(struct stood *stood, const struct desk *desk, enum param_id id, int row, int column,
            int64_t now_ms)
{
    if (params[id].unit == UNIT_TEXT) { /* no sound, but it tells what counts */
        desk_carry_value(stood->desk, desk, id, row, column);
        return;
    }
    if (stood->count == MOVES_MOST) {
        stood_begin(stood, desk, now_ms);
        return;
    }
    make_room(stood);
    stood->moves[stood->count++] =
        (struct stood_move){id, row, column, now_ms, *desk_value(desk, id, row, column)};
}

/* What moved so long ago is part of what stood. */
static void
catch_up(struct stood *stood, int64_t until_ms)
{
    int done = 0;

    while (done < stood->count && stood->moves[done].at_ms <= until_ms) {
        struct stood_move *move = &stood->moves[done++];

        desk_swap(stood->desk, move->id, move->row, move->column, &move->value);
        stood->taken = false;
    }
    stood->count -= done;
    memmove(stood->moves, stood->moves + done, (size_t)stood->count * sizeof *stood->moves);
}

const struct desk *
stood_desk(struct stood *stood, int64_t now_ms)
{
    int64_t until_ms = now_ms - RING_STANDS_MS;

    if (stood->since_ms > until_ms)
        return NULL;
    if (stood->count > 0)
        catch_up(stood, until_ms);
    return stood->taken ? NULL : stood->desk;
}

void
stood_taken(struct stood *stood)
{
    stood->taken = true;
}
