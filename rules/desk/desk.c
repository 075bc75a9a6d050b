/* SPDX-License-Identifier: MIT */
#include "desk/desk.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "desk/show.h"
#include "desk/source.h"

static size_t
cells_of(const struct shelf *shelf)
{
    return (size_t)shelf->rows * (size_t)shelf->columns;
}

static void
param_init(struct desk *desk, enum param_id id)
{
    struct desk_param *param = &desk->params[id];
    const int *counts = desk->counts.of;

    shelf_init(&param->shelf, counts[params[id].row], counts[params[id].column]);
    param->travel = (struct travel){NAN, NAN};
    if (params[id].unit == UNIT_TEXT)
        param->texts = need_memory(cells_of(&param->shelf), sizeof *param->texts);
    if (!isnan(params[id].absent))
        desk_supply(desk, id, SUPPLY_ABSENT);
}

struct desk *
desk_new(const struct desk_counts *counts)
{
    struct desk *desk = need_memory(1, sizeof *desk);

    desk->counts = *counts;
    desk->counts.of[INDEX_NONE] = 1;
    for (int kind = INDEX_SPECTRA; kind < INDEX_KINDS; kind++)
        desk->counts.of[kind] = 0;
    desk->filters = (struct desk_filters){.rate_hz = 48000};
    for (int id = 0; id < PARAMS; id++)
        param_init(desk, (enum param_id)id);
    return desk;
}

void
desk_free(struct desk *desk)
{
    if (!desk)
        return;
    for (int id = 0; id < PARAMS; id++) {
        shelf_release(&desk->params[id].shelf);
        free(desk->params[id].texts);
    }
    free(desk);
}

/* Takes over all values; both have the same size. */
static void
param_share(struct desk_param *to, const struct desk_param *from)
{
    shelf_share(&to->shelf, &from->shelf);
    if (from->texts)
        memcpy(to->texts, from->texts, cells_of(&from->shelf) * sizeof *to->texts);
}

struct desk *
desk_copy(const struct desk *desk)
{
    struct desk *copy = desk_new(&desk->counts);

    copy->filters = desk->filters;
    for (int id = 0; id < PARAMS; id++) {
        const struct desk_param *from = &desk->params[id];
        struct desk_param *to = &copy->params[id];

        param_share(to, from);
        to->supply = from->supply;
        to->travel = from->travel;
        to->step = from->step;
    }
    return copy;
}

void
desk_carry_value(struct desk *to, const struct desk *from, enum param_id id, int row, int column)
{
    struct desk_param *mine = &to->params[id];
    const struct value value = *desk_value(from, id, row, column);

    *shelf_cell(&mine->shelf, row, column) = value;
    if (mine->texts)
        memcpy(mine->texts[row * mine->shelf.columns + column], desk_text(from, id, row, column),
               DESK_TEXT_SIZE);
}

void
desk_carry_param(struct desk *to, const struct desk *from, enum param_id id)
{
    const struct shelf *mine = &to->params[id].shelf, *other = &from->params[id].shelf;

    if (mine->rows == other->rows && mine->columns == other->columns) {
        param_share(&to->params[id], &from->params[id]);
        return;
    }
    for (int row = 0; row < mine->rows && row < other->rows; row++)
        for (int column = 0; column < mine->columns && column < other->columns; column++)
            desk_carry_value(to, from, id, row, column);
}

void
desk_carry(struct desk *to, const struct desk *from)
{
    for (int id = 0; id < PARAMS && to != from; id++)
        if (to->params[id].supply == SUPPLY_HEARD && from->params[id].supply == SUPPLY_HEARD)
            desk_carry_param(to, from, (enum param_id)id);
}

int
desk_count(const struct desk *desk, enum index_kind kind)
{
    return desk->counts.of[kind];
}

int
desk_rows(const struct desk *desk, enum param_id id)
{
    return desk->params[id].shelf.rows;
}

int
desk_columns(const struct desk *desk, enum param_id id)
{
    return desk->params[id].shelf.columns;
}

void
desk_supply(struct desk *desk, enum param_id id, enum supply supply)
{
    struct desk_param *param = &desk->params[id];
    bool absent = supply == SUPPLY_ABSENT;

    param->supply = supply;
    shelf_fill(&param->shelf, (struct value){absent ? params[id].absent : 0, 0,
                                             absent ? VALUE_KNOWN : VALUE_UNKNOWN});
}

void
desk_fix(struct desk *desk, enum param_id id, double number)
{
    assert(params[id].unit != UNIT_TEXT && param_accepts(id, number));
    desk->params[id].supply = SUPPLY_FIXED;
    shelf_fill(&desk->params[id].shelf, (struct value){number, 0, VALUE_KNOWN});
}

enum supply
desk_supplied(const struct desk *desk, enum param_id id)
{
    return desk->params[id].supply;
}

void
desk_set_travel(struct desk *desk, enum param_id id, struct travel travel)
{
    desk->params[id].travel = travel;
}

struct travel
desk_travel(const struct desk *desk, enum param_id id)
{
    return desk->params[id].travel;
}

void
desk_set_step(struct desk *desk, enum param_id id, double step)
{
    desk->params[id].step = step;
}

double
desk_step(const struct desk *desk, enum param_id id)
{
    return desk->params[id].step;
}

void
desk_set_filters(struct desk *desk, struct desk_filters filters)
{
    desk->filters = filters;
}

struct desk_filters
desk_filters(const struct desk *desk)
{
    return desk->filters;
}

static bool
inside(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct shelf *shelf = &desk->params[id].shelf;

    return row >= 0 && column >= 0 && row < shelf->rows && column < shelf->columns;
}

static enum change
value_take(struct value *value, bool equal, int64_t now_ms)
{
    enum value_state before = value->state;

    value->state = VALUE_KNOWN;
    value->heard_ms = now_ms;
    if (before == VALUE_UNKNOWN)
        return CHANGE_FIRST;
    return before == VALUE_KNOWN && equal ? CHANGE_SAME : CHANGE_MOVED;
}

enum change
desk_set(struct desk *desk, enum param_id id, int row, int column, double number, int64_t now_ms)
{
    struct value *value;
    bool equal;

    if (!inside(desk, id, row, column) || params[id].unit == UNIT_TEXT ||
        !param_accepts(id, number))
        return CHANGE_REFUSED;
    value = shelf_cell(&desk->params[id].shelf, row, column);
    equal = value->heard_number == number;
    value->heard_number = number;
    return value_take(value, equal, now_ms);
}

/* Copies as much as fits without cutting a UTF-8 sequence in two. */
static void
copy_text(char *to, const char *from)
{
    size_t length = strlen(from);

    if (length >= DESK_TEXT_SIZE) {
        length = DESK_TEXT_SIZE - 1;
        while (length > 0 && ((unsigned char)from[length] & 0xc0) == 0x80)
            length--;
    }
    memcpy(to, from, length);
    to[length] = '\0';
}

/* What a label suggests, worked out once when it is heard: a position in sources[], or an enum
 * feeds. */
static double
read_label(enum param_id id, const char *text)
{
    char rest[SHOW_NAME_SIZE];

    if (id == PARAM_INPUT_NAME)
        return source_from_label(text);
    return id == PARAM_MIX_NAME ? feeds_from_label(text, rest) : 0;
}

enum change
desk_set_text(struct desk *desk, enum param_id id, int row, int column, const char *text,
              int64_t now_ms)
{
    struct desk_param *param = &desk->params[id];
    struct value *value;
    char cut[DESK_TEXT_SIZE];
    char *stored;
    bool equal;

    if (!inside(desk, id, row, column) || params[id].unit != UNIT_TEXT)
        return CHANGE_REFUSED;
    copy_text(cut, text);
    value = shelf_cell(&param->shelf, row, column);
    stored = param->texts[row * param->shelf.columns + column];
    equal = strcmp(stored, cut) == 0;
    if (!equal || value->state == VALUE_UNKNOWN)
        value->heard_number = read_label(id, cut);
    memcpy(stored, cut, strlen(cut) + 1);
    return value_take(value, equal, now_ms);
}

void
desk_swap(struct desk *desk, enum param_id id, int row, int column, struct value *value)
{
    struct value *stored = shelf_cell(&desk->params[id].shelf, row, column), was = *stored;

    *stored = *value;
    *value = was;
}

const char *
desk_text(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct desk_param *param = &desk->params[id];

    assert(inside(desk, id, row, column) && param->texts);
    return param->texts[row * param->shelf.columns + column];
}

void
desk_set_stale(struct desk *desk, enum param_id id, int row, int column)
{
    if (inside(desk, id, row, column) && desk_value(desk, id, row, column)->state == VALUE_KNOWN)
        shelf_cell(&desk->params[id].shelf, row, column)->state = VALUE_STALE;
}

/* The stale ones of one parameter. */
static size_t
expire(struct desk *desk, enum param_id id, int64_t before_ms, desk_stale_fn *stale, void *context)
{
    struct shelf *shelf = &desk->params[id].shelf;
    size_t count = 0;

    for (int row = 0; row < shelf->rows; row++)
        for (int column = 0; column < shelf->columns; column++) {
            const struct value *value = shelf_value(shelf, row, column);

            if (value->state != VALUE_KNOWN || value->heard_ms >= before_ms)
                continue;
            shelf_cell(shelf, row, column)->state = VALUE_STALE;
            stale(context, id, row, column);
            count++;
        }
    return count;
}

size_t
desk_expire(struct desk *desk, int64_t before_ms, desk_stale_fn *stale, void *context)
{
    size_t count = 0;

    for (int id = 0; id < PARAMS; id++)
        if (desk->params[id].supply == SUPPLY_HEARD)
            count += expire(desk, (enum param_id)id, before_ms, stale, context);
    return count;
}

size_t
desk_count_state(const struct desk *desk, enum value_state state)
{
    size_t count = 0;

    for (int id = 0; id < PARAMS; id++) {
        const struct desk_param *param = &desk->params[id];

        if (param->supply != SUPPLY_HEARD)
            continue;
        for (int row = 0; row < param->shelf.rows; row++)
            for (int column = 0; column < param->shelf.columns; column++)
                count += shelf_value(&param->shelf, row, column)->state == state;
    }
    return count;
}
