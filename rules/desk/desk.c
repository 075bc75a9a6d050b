/* SPDX-License-Identifier: MIT */
#include "desk/desk.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "desk/show.h"
#include "desk/source.h"

struct shelf {
    struct value *values; /* rows x columns */
    char (*texts)[DESK_TEXT_SIZE];
    int rows, columns;
    enum supply supply;
    struct travel travel;
    double step;
};

struct desk {
    struct desk_counts counts;
    struct desk_filters filters;
    struct shelf shelves[PARAMS];
};

static void
shelf_init(struct shelf *shelf, enum param_id id, const struct desk_counts *counts)
{
    size_t cells;

    shelf->rows = counts->of[params[id].row];
    shelf->columns = counts->of[params[id].column];
    shelf->travel = (struct travel){NAN, NAN};
    cells = (size_t)shelf->rows * (size_t)shelf->columns;
    if (cells == 0)
        return;
    shelf->values = need_memory(cells, sizeof *shelf->values);
    if (params[id].unit == UNIT_TEXT)
        shelf->texts = need_memory(cells, sizeof *shelf->texts);
}

static void
shelf_fill(struct shelf *shelf, double number, enum value_state state)
{
    for (int i = 0; i < shelf->rows * shelf->columns; i++)
        shelf->values[i] = (struct value){number, 0, state};
}

struct desk *
desk_new(const struct desk_counts *counts)
{
    struct desk *desk = need_memory(1, sizeof *desk);

    desk->counts = *counts;
    desk->counts.of[INDEX_NONE] = 1;
    desk->filters = (struct desk_filters){.rate_hz = 48000};
    for (int id = 0; id < PARAMS; id++) {
        shelf_init(&desk->shelves[id], (enum param_id)id, &desk->counts);
        if (!isnan(params[id].absent))
            desk_supply(desk, (enum param_id)id, SUPPLY_ABSENT);
    }
    return desk;
}

void
desk_free(struct desk *desk)
{
    if (!desk)
        return;
    for (int id = 0; id < PARAMS; id++) {
        free(desk->shelves[id].values);
        free(desk->shelves[id].texts);
    }
    free(desk);
}

/* Copies all of a shelf; both have the same size. */
static void
shelf_copy(struct shelf *to, const struct shelf *from)
{
    size_t cells = (size_t)from->rows * (size_t)from->columns;

    if (cells > 0)
        memcpy(to->values, from->values, cells * sizeof *to->values);
    if (cells > 0 && from->texts)
        memcpy(to->texts, from->texts, cells * sizeof *to->texts);
    to->supply = from->supply;
    to->travel = from->travel;
    to->step = from->step;
}

struct desk *
desk_copy(const struct desk *desk)
{
    struct desk *copy = desk_new(&desk->counts);

    copy->filters = desk->filters;
    for (int id = 0; id < PARAMS; id++)
        shelf_copy(&copy->shelves[id], &desk->shelves[id]);
    return copy;
}

void
desk_carry_value(struct desk *to, const struct desk *from, enum param_id id, int row, int column)
{
    struct shelf *mine = &to->shelves[id];
    const struct shelf *other = &from->shelves[id];
    int place = row * mine->columns + column, there = row * other->columns + column;

    assert(row >= 0 && row < mine->rows && row < other->rows);
    assert(column >= 0 && column < mine->columns && column < other->columns);
    mine->values[place] = other->values[there];
    if (mine->texts)
        memcpy(mine->texts[place], other->texts[there], DESK_TEXT_SIZE);
}

void
desk_carry(struct desk *to, const struct desk *from)
{
    for (int id = 0; id < PARAMS; id++) {
        const struct shelf *mine = &to->shelves[id], *other = &from->shelves[id];

        if (mine->supply != SUPPLY_HEARD || other->supply != SUPPLY_HEARD)
            continue;
        for (int row = 0; row < mine->rows && row < other->rows; row++)
            for (int column = 0; column < mine->columns && column < other->columns; column++)
                desk_carry_value(to, from, (enum param_id)id, row, column);
    }
}

int
desk_count(const struct desk *desk, enum index_kind kind)
{
    return desk->counts.of[kind];
}

int
desk_rows(const struct desk *desk, enum param_id id)
{
    return desk->shelves[id].rows;
}

int
desk_columns(const struct desk *desk, enum param_id id)
{
    return desk->shelves[id].columns;
}

void
desk_supply(struct desk *desk, enum param_id id, enum supply supply)
{
    struct shelf *shelf = &desk->shelves[id];

    shelf->supply = supply;
    if (supply == SUPPLY_ABSENT)
        shelf_fill(shelf, params[id].absent, VALUE_KNOWN);
    else
        shelf_fill(shelf, 0, VALUE_UNKNOWN);
}

enum supply
desk_supplied(const struct desk *desk, enum param_id id)
{
    return desk->shelves[id].supply;
}

void
desk_set_travel(struct desk *desk, enum param_id id, struct travel travel)
{
    desk->shelves[id].travel = travel;
}

struct travel
desk_travel(const struct desk *desk, enum param_id id)
{
    return desk->shelves[id].travel;
}

void
desk_set_step(struct desk *desk, enum param_id id, double step)
{
    desk->shelves[id].step = step;
}

double
desk_step(const struct desk *desk, enum param_id id)
{
    return desk->shelves[id].step;
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

/* The cell, or NULL when the index is outside the counts. */
static struct value *
shelf_cell(const struct shelf *shelf, int row, int column)
{
    if (row < 0 || column < 0 || row >= shelf->rows || column >= shelf->columns)
        return NULL;
    return &shelf->values[row * shelf->columns + column];
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
    struct value *value = shelf_cell(&desk->shelves[id], row, column);
    bool equal;

    if (!value || params[id].unit == UNIT_TEXT || !param_accepts(id, number))
        return CHANGE_REFUSED;
    equal = value->number == number;
    value->number = number;
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
    struct shelf *shelf = &desk->shelves[id];
    struct value *value = shelf_cell(shelf, row, column);
    char cut[DESK_TEXT_SIZE];
    char *stored;
    bool equal;

    if (!value || params[id].unit != UNIT_TEXT)
        return CHANGE_REFUSED;
    copy_text(cut, text);
    stored = shelf->texts[value - shelf->values];
    equal = strcmp(stored, cut) == 0;
    if (!equal || value->state == VALUE_UNKNOWN)
        value->number = read_label(id, cut);
    memcpy(stored, cut, strlen(cut) + 1);
    return value_take(value, equal, now_ms);
}

const struct value *
desk_value(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct value *value = shelf_cell(&desk->shelves[id], row, column);

    assert(value);
    return value;
}

void
desk_swap(struct desk *desk, enum param_id id, int row, int column, struct value *value)
{
    struct value *stored = shelf_cell(&desk->shelves[id], row, column), was;

    assert(stored);
    was = *stored;
    *stored = *value;
    *value = was;
}

const char *
desk_text(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct shelf *shelf = &desk->shelves[id];
    const struct value *value = shelf_cell(shelf, row, column);

    assert(value && shelf->texts);
    return shelf->texts[value - shelf->values];
}

void
desk_set_stale(struct desk *desk, enum param_id id, int row, int column)
{
    struct value *value = shelf_cell(&desk->shelves[id], row, column);

    if (value && value->state == VALUE_KNOWN)
        value->state = VALUE_STALE;
}

size_t
desk_expire(struct desk *desk, int64_t before_ms, desk_stale_fn *stale, void *context)
{
    size_t count = 0;

    for (int id = 0; id < PARAMS; id++) {
        struct shelf *shelf = &desk->shelves[id];

        if (shelf->supply != SUPPLY_HEARD)
            continue;
        for (int i = 0; i < shelf->rows * shelf->columns; i++) {
            struct value *value = &shelf->values[i];

            if (value->state != VALUE_KNOWN || value->heard_ms >= before_ms)
                continue;
            value->state = VALUE_STALE;
            stale(context, (enum param_id)id, i / shelf->columns, i % shelf->columns);
            count++;
        }
    }
    return count;
}

size_t
desk_count_state(const struct desk *desk, enum value_state state)
{
    size_t count = 0;

    for (int id = 0; id < PARAMS; id++) {
        const struct shelf *shelf = &desk->shelves[id];

        for (int i = 0; shelf->supply == SUPPLY_HEARD && i < shelf->rows * shelf->columns; i++)
            count += shelf->values[i].state == state;
    }
    return count;
}
