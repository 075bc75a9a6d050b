/* SPDX-License-Identifier: MIT */
#include "change/moves.h"

#include <stdlib.h>

#include "change/difference.h"
#include "core/need.h"

#define JUMP_LEAST_DB 5.95 /* 6, which on the wire is a little more or less */

struct moves {
    struct desk *before;
    struct move list[MOVES_KEPT];
    size_t count;
    bool fresh;
    int64_t dropped_ms; /* when one was last left out for want of room; INT64_MIN: none was */
    unsigned *seen;     /* by object: in which count it was seen last */
    unsigned counted;
    struct jump jumps[JUMPS_KEPT]; /* oldest first */
    size_t jump_count;
    unsigned jumps_version;
};

static size_t
objects_of(const struct desk *desk)
{
    return (size_t)desk_count(desk, INDEX_INPUT) + (size_t)desk_count(desk, INDEX_MIX) +
           (size_t)desk_count(desk, INDEX_GROUP) + 1;
}

struct moves *
moves_new(const struct desk *desk)
{
    struct moves *moves = need_memory(1, sizeof *moves);

    moves->before = desk_copy(desk);
    moves->dropped_ms = INT64_MIN;
    moves->seen = need_memory(objects_of(desk), sizeof *moves->seen);
    return moves;
}

void
moves_free(struct moves *moves)
{
    if (!moves)
        return;
    desk_free(moves->before);
    free(moves->seen);
    free(moves);
}

/* Levels whose leap upwards is an accident. */
static bool
can_jump(enum param_id id)
{
    switch (id) {
    case PARAM_INPUT_PREAMP_GAIN:
    case PARAM_INPUT_TRIM:
    case PARAM_INPUT_FADER:
    case PARAM_SEND_LEVEL:
    case PARAM_MIX_FADER:
    case PARAM_MIX_TRIM:
    case PARAM_GROUP_FADER:
        return true;
    default:
        return false;
    }
}

static void
let_go(struct moves *moves, const struct desk *desk, size_t i)
{
    const struct move *move = &moves->list[i];

    desk_carry_value(moves->before, desk, move->id, move->row, move->column);
    moves->list[i] = moves->list[--moves->count];
}

static size_t
oldest(const struct moves *moves)
{
    size_t best = 0;

    for (size_t i = 1; i < moves->count; i++)
        if (moves->list[i].last_ms < moves->list[best].last_ms)
            best = i;
    return best;
}

/* What is old has become what stood before; what is young has not, and is left out. */
static void
make_room(struct moves *moves, const struct desk *desk, int64_t now_ms)
{
    size_t i = oldest(moves);

    if (now_ms - moves->list[i].last_ms > MOVES_TOGETHER_MS) {
        let_go(moves, desk, i);
        return;
    }
    moves->list[i] = moves->list[--moves->count];
    moves->dropped_ms = now_ms;
}

/* The value's own place, or a new one. */
static struct move *
find(struct moves *moves, const struct desk *desk, const struct moved *moved, int64_t now_ms)
{
    enum param_id id = moved->id;
    int row = moved->row, column = moved->column;
    struct move *move;

    for (size_t i = moves->count; i > 0; i--) {
        move = &moves->list[i - 1];
        if (move->id == id && move->row == row && move->column == column)
            return move;
    }
    if (moves->count == MOVES_KEPT)
        make_room(moves, desk, now_ms);
    move = &moves->list[moves->count++];
    *move = (struct move){.id = id, .row = row, .column = column, .first_ms = INT64_MIN};
    return move;
}

/* Of the same value; jump_count: there is none. */
static size_t
find_jump(const struct moves *moves, const struct jump *jump)
{
    size_t i = 0;

    while (i < moves->jump_count &&
           (moves->jumps[i].id != jump->id || moves->jumps[i].row != jump->row ||
            moves->jumps[i].column != jump->column))
        i++;
    return i;
}

/* In place of the value's own, or of the oldest. */
static void
put_jump(struct moves *moves, struct jump jump)
{
    size_t i = find_jump(moves, &jump);

    moves->jumps_version++;
    if (i == moves->jump_count && i == JUMPS_KEPT)
        i = 0;
    else if (i == moves->jump_count)
        moves->jump_count++;
    for (; i + 1 < moves->jump_count; i++)
        moves->jumps[i] = moves->jumps[i + 1];
    moves->jumps[i] = jump;
}

static void
note_jump(struct moves *moves, const struct move *move)
{
    struct jump jump = {move->id, move->row,     move->column, move->from,
                        move->to, move->last_ms, move->gap_ms, move->unseen};
    size_t i = find_jump(moves, &jump);

    if (i < moves->jump_count && move->first_ms <= moves->jumps[i].at_ms)
        jump.at_ms = moves->jumps[i].at_ms; /* the same leap, a step further */
    put_jump(moves, jump);
}

void
moves_note(struct moves *moves, const struct desk *desk, const struct moved *moved, int64_t now_ms)
{
    struct move *move;

    if (!difference_is_setting(moved->id))
        return;
    move = find(moves, desk, moved, now_ms);
    if (move->first_ms == INT64_MIN || now_ms - move->first_ms > MOVES_LEAP_MS) {
        move->first_ms = now_ms;
        move->from = value_last_heard(&moved->before);
        move->gap_ms = now_ms - moved->before.heard_ms;
        move->unseen = moved->before.state != VALUE_KNOWN;
    }
    move->to = value_last_heard(desk_value(desk, moved->id, moved->row, moved->column));
    move->last_ms = now_ms;
    move->fresh = moves->fresh = true;
    if (can_jump(moved->id) && move->to - move->from >= JUMP_LEAST_DB)
        note_jump(moves, move);
}

void
moves_first(struct moves *moves, const struct desk *desk, enum param_id id, int row, int column)
{
    desk_carry_value(moves->before, desk, id, row, column);
}

void
moves_age(struct moves *moves, const struct desk *desk, int64_t now_ms)
{
    for (size_t i = moves->count; i > 0; i--)
        if (now_ms - moves->list[i - 1].last_ms > MOVES_TOGETHER_MS)
            let_go(moves, desk, i - 1);
    if (moves->dropped_ms == INT64_MIN || now_ms - moves->dropped_ms <= MOVES_TOGETHER_MS)
        return;
    desk_carry(moves->before, desk); /* nobody knows any more which they were */
    moves->dropped_ms = INT64_MIN;
}

const struct move *
moves_list(const struct moves *moves, size_t *count)
{
    *count = moves->count;
    return moves->list;
}

bool
moves_are_fresh(const struct moves *moves)
{
    return moves->fresh;
}

void
moves_taken(struct moves *moves)
{
    moves->fresh = false;
    for (size_t i = 0; i < moves->count; i++)
        moves->list[i].fresh = false;
}

/* Mute groups, faders of a group and scenes of faders alone are a show's everyday. */
static bool
counts(enum param_id id)
{
    switch (id) {
    case PARAM_INPUT_MUTE:
    case PARAM_MIX_MUTE:
    case PARAM_GROUP_MUTE:
    case PARAM_INPUT_FADER:
    case PARAM_GROUP_FADER:
        return false;
    default:
        return params[id].row != INDEX_NONE;
    }
}

/* Its place in `seen`. */
static size_t
object_of(const struct moves *moves, const struct move *move)
{
    size_t inputs = (size_t)desk_count(moves->before, INDEX_INPUT);
    size_t mixes = (size_t)desk_count(moves->before, INDEX_MIX), row = (size_t)move->row;

    switch (params[move->id].row) {
    case INDEX_INPUT:
        return row;
    case INDEX_MIX:
        return inputs + row;
    default:
        return inputs + mixes + row;
    }
}

struct moves_count
moves_count(struct moves *moves, int64_t late_ms)
{
    struct moves_count count = {0};

    moves->counted++;
    for (size_t i = 0; i < moves->count; i++) {
        const struct move *move = &moves->list[i];
        unsigned *seen;

        count.scene |= move->id == PARAM_DESK_SCENE;
        if (!counts(move->id))
            continue;
        seen = &moves->seen[object_of(moves, move)];
        count.values++;
        count.late += move->last_ms > late_ms;
        count.objects += *seen != moves->counted;
        *seen = moves->counted;
    }
    return count;
}

const struct desk *
moves_before(const struct moves *moves)
{
    return moves->before;
}

void
moves_settle(struct moves *moves, const struct desk *desk)
{
    desk_carry(moves->before, desk);
    moves->count = 0;
    moves->fresh = false;
    moves->dropped_ms = INT64_MIN;
}

const struct jump *
moves_jumps(const struct moves *moves, size_t *count)
{
    *count = moves->jump_count;
    return moves->jumps;
}

void
moves_forget_jumps(struct moves *moves, const struct desk *desk, int64_t before_ms,
                   moves_jump_fn *each, void *context)
{
    size_t kept = 0;

    for (size_t i = 0; i < moves->jump_count; i++) {
        const struct jump *jump = &moves->jumps[i];

        if (jump->at_ms >= before_ms ||
            desk_value(desk, jump->id, jump->row, jump->column)->state != VALUE_KNOWN)
            moves->jumps[kept++] = *jump;
        else
            each(context, jump);
    }
    moves->jumps_version += kept < moves->jump_count;
    moves->jump_count = kept;
}

void
moves_drop_jumps(struct moves *moves, int64_t since_ms)
{
    size_t kept = 0;

    for (size_t i = 0; i < moves->jump_count; i++)
        if (moves->jumps[i].at_ms < since_ms)
            moves->jumps[kept++] = moves->jumps[i];
    moves->jumps_version += kept < moves->jump_count;
    moves->jump_count = kept;
}

unsigned
moves_jumps_version(const struct moves *moves)
{
    return moves->jumps_version;
}

/* ---- from one watch to the next ---- */

static bool
is_possible(const struct moves *moves, const struct jump *jump)
{
    return can_jump(jump->id) && jump->row >= 0 && jump->column >= 0 &&
           jump->row < desk_rows(moves->before, jump->id) &&
           jump->column < desk_columns(moves->before, jump->id) &&
           param_accepts(jump->id, jump->from) && param_accepts(jump->id, jump->to) &&
           jump->to - jump->from >= JUMP_LEAST_DB;
}

bool
moves_restore_jump(struct moves *moves, const struct jump *jump, int64_t now_ms)
{
    struct jump restored = *jump;

    if (!is_possible(moves, jump))
        return false;
    if (restored.at_ms > now_ms)
        restored.at_ms = now_ms;
    put_jump(moves, restored);
    return true;
}

static bool
has(const struct moves *moves, const struct move *move)
{
    return move->row < desk_rows(moves->before, move->id) &&
           move->column < desk_columns(moves->before, move->id);
}

void
moves_carry(struct moves *moves, const struct moves *from)
{
    desk_carry(moves->before, from->before);
    moves->dropped_ms = from->dropped_ms;
    for (size_t i = 0; i < from->count; i++)
        if (has(moves, &from->list[i]))
            moves->list[moves->count++] = from->list[i];
    for (size_t i = 0; i < from->jump_count; i++)
        if (is_possible(moves, &from->jumps[i]))
            put_jump(moves, from->jumps[i]);
}
