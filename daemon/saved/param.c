/* SPDX-License-Identifier: MIT */
/* One parameter of a saved desk: its values in the shape of its indexes, when each was heard, and
 * what of it is stale.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "saved/parts.h"

/* ---- the values ---- */

struct reading {
    struct desk *desk;
    enum param_id id;
    enum supply supply;
    bool one_age;  /* one stands for all */
    double *age_s; /* one for each cell, NAN where the file has none; owned */
};

/* Called for each element of an array that has the parameter's shape. */
typedef void cell_fn(struct reading *reading, const struct where *where, int row, int column);

static bool
has_size(const struct where *where, int size)
{
    if (!where_need(where, JSON_ARRAY, true))
        return false;
    if (json_size(where->json) != size)
        where_problem(where, "has %d elements, must have %d", json_size(where->json), size);
    return json_size(where->json) == size;
}

static void
read_cells(struct reading *reading, const struct where *where, cell_fn *cell)
{
    bool nested = params[reading->id].column != INDEX_NONE;

    if (!has_size(where, desk_rows(reading->desk, reading->id)))
        return;
    for (struct where row = where_first(where); row.json; where_next(&row)) {
        if (!nested)
            cell(reading, &row, row.index, 0);
        else if (has_size(&row, desk_columns(reading->desk, reading->id)))
            for (struct where one = where_first(&row); one.json; where_next(&one))
                cell(reading, &one, row.index, one.index);
    }
}

static double *
age_at(const struct reading *reading, int row, int column)
{
    return &reading->age_s[row * desk_columns(reading->desk, reading->id) + column];
}

static void
set_ages(struct reading *reading, double age_s)
{
    int cells = desk_rows(reading->desk, reading->id) * desk_columns(reading->desk, reading->id);

    for (int i = 0; i < cells; i++)
        reading->age_s[i] = age_s;
}

static bool
is_age(const struct where *where)
{
    double ms = where_number(where) * 1000;

    if (ms >= 0 && ms <= 1e12 && fabs(ms - round(ms)) < 0.01)
        return true;
    where_problem(where, "must be seconds from 0, in thousandths");
    return false;
}

static void
read_age(struct reading *reading, const struct where *where, int row, int column)
{
    if (!where_is(where, JSON_NULL) && is_age(where))
        *age_at(reading, row, column) = where_number(where);
}

static void
take_ages(const struct field_given *given)
{
    struct reading *reading = given->into;

    reading->one_age = where_is(given->where, JSON_NUMBER);
    if (!reading->one_age)
        read_cells(reading, given->where, read_age);
    else if (is_age(given->where))
        set_ages(reading, where_number(given->where));
}

/* The number that the element stands for; false with a problem. */
static bool
read_number(const struct reading *reading, const struct where *where, double *number)
{
    const struct param *param = &params[reading->id];
    struct field_words words = {.list = param_words(reading->id), .shown = SAVED_WORD_SHOWN};

    if (param->unit == UNIT_SWITCH) {
        *number = json_bool(where->json);
        return where_need(where, JSON_BOOL, true);
    }
    if (param->unit == UNIT_WORD && !where_text(where)) {
        where_problem(where, "is %s, must be a word", json_kind_name(json_kind(where->json)));
        return false;
    }
    if (param->unit == UNIT_WORD) {
        *number = field_find_word(&words, where);
        return *number >= 0;
    }
    *number = where_level(where);
    if (param_accepts(reading->id, *number))
        return true;
    where_problem(where, "must be a number from %g to %g%s", param->least, param->most,
                  param_may_be_off(reading->id) ? " or \"-inf\"" : "");
    return false;
}

/* A value that stands in the file, with the time at which it was heard. */
static void
take_value(struct reading *reading, const struct where *where, int row, int column,
           int64_t heard_ms)
{
    double number;

    if (params[reading->id].unit != UNIT_TEXT) {
        if (read_number(reading, where, &number))
            desk_set(reading->desk, reading->id, row, column, number, heard_ms);
    } else if (where_need(where, JSON_STRING, true)) {
        if (strlen(where_text(where)) >= DESK_TEXT_SIZE)
            where_problem(where, "is longer than %d bytes", DESK_TEXT_SIZE - 1);
        else
            desk_set_text(reading->desk, reading->id, row, column, where_text(where), heard_ms);
    }
}

static void
read_value(struct reading *reading, const struct where *where, int row, int column)
{
    double age_s = *age_at(reading, row, column);
    bool heard = reading->supply == SUPPLY_HEARD;

    if (where_is(where, JSON_NULL)) {
        if (!heard)
            where_problem(where, "is null, which only a value that is heard can be");
        else if (!isnan(age_s) && !reading->one_age)
            where_problem(where, "is not known, yet \"heard_s\" says when it was heard");
        return;
    }
    if (heard && isnan(age_s))
        where_problem(where, "is known, yet \"heard_s\" does not say when it was heard");
    take_value(reading, where, row, column, heard && !isnan(age_s) ? -llround(age_s * 1000) : 0);
}

/* ---- what is stale ---- */

static void
make_stale(struct reading *reading, const struct where *where, double row, double column)
{
    const struct value *value;

    if (!(row >= 1 && row <= desk_rows(reading->desk, reading->id)) || row != floor(row) ||
        !(column >= 1 && column <= desk_columns(reading->desk, reading->id)) ||
        column != floor(column)) {
        where_problem(where, "is outside the counts");
        return;
    }
    value = desk_value(reading->desk, reading->id, (int)row - 1, (int)column - 1);
    if (value->state == VALUE_STALE)
        where_problem(where, "stands twice");
    else if (value->state == VALUE_UNKNOWN)
        where_problem(where, "is not known, so it cannot be stale");
    else
        desk_set_stale(reading->desk, reading->id, (int)row - 1, (int)column - 1);
}

static void
make_all_stale(struct reading *reading)
{
    for (int row = 0; row < desk_rows(reading->desk, reading->id); row++)
        for (int column = 0; column < desk_columns(reading->desk, reading->id); column++)
            if (desk_value(reading->desk, reading->id, row, column)->state == VALUE_KNOWN)
                desk_set_stale(reading->desk, reading->id, row, column);
}

/* One place: a number, or row and column. */
static void
read_stale_place(struct reading *reading, const struct where *where)
{
    struct where pair[2];

    if (params[reading->id].column == INDEX_NONE)
        make_stale(reading, where, where_number(where), 1);
    else if (has_size(where, 2) && where_pair(where, pair))
        make_stale(reading, where, where_number(&pair[0]), where_number(&pair[1]));
}

static void
take_stale(const struct field_given *given)
{
    struct reading *reading = given->into;

    if (where_is(given->where, JSON_BOOL) && json_bool(given->where->json))
        make_all_stale(reading);
    else if (where_is(given->where, JSON_ARRAY))
        for (struct where one = where_first(given->where); one.json; where_next(&one))
            read_stale_place(reading, &one);
    else
        where_problem(given->where, "must be true or an array of places");
}

/* ---- the controls ---- */

static void
take_range(const struct field_given *given)
{
    struct reading *reading = given->into;
    bool may_be_off = param_may_be_off(reading->id);
    struct where pair[2];
    struct travel travel;

    if (!has_size(given->where, 2) || !where_pair(given->where, pair))
        return;
    travel.least = may_be_off ? where_level(&pair[0]) : where_number(&pair[0]);
    travel.most = where_number(&pair[1]);
    if (!(travel.least <= travel.most && isfinite(travel.most)))
        where_problem(given->where, "must be [least, most], two rising numbers");
    else
        desk_set_travel(reading->desk, reading->id, travel);
}

static void
take_step(const struct field_given *given)
{
    struct reading *reading = given->into;
    double step = where_number(given->where);

    if (!(step > 0 && isfinite(step)))
        where_problem(given->where, "must be a number above 0");
    else
        desk_set_step(reading->desk, reading->id, step);
}

/* ---- the keys ---- */

static void
take_unit(const struct field_given *given)
{
    const struct reading *reading = given->into;
    const char *unit = unit_name(params[reading->id].unit);

    if (strcmp(where_text(given->where), unit) != 0)
        where_problem(given->where, "is \"%.60s\", must be \"%s\"", where_text(given->where), unit);
}

static const struct field_words supply_words = {.list = saved_supplies, .shown = SAVED_WORD_SHOWN};

static void
take_supplied(const struct field_given *given)
{
    struct reading *reading = given->into;
    int word = field_find_word(&supply_words, given->where);

    if (SUPPLY_HEARD + word == SUPPLY_ABSENT && isnan(params[reading->id].absent))
        where_problem(given->where, "nothing stands in for it on a desk that lacks it");
    else if (word >= 0)
        reading->supply = (enum supply)(SUPPLY_HEARD + word);
}

static void
refuse_when_not_heard(const struct field_given *given)
{
    static const char *const keys[] = {"heard_s", "stale"};
    const struct reading *reading = given->into;

    for (size_t i = 0; i < 2; i++) {
        struct where here = where_key(given->where, keys[i]);

        if (reading->supply != SUPPLY_HEARD && here.json)
            where_problem(&here, "only values that are heard have it");
    }
}

static void
take_values(const struct field_given *given)
{
    read_cells(given->into, given->where, read_value);
}

const struct field saved_param_fields[] = {
    {"unit", FIELD_SPELT, NULL, .need = FIELD_MUST, .take = take_unit},
    {"supplied", FIELD_SPELT, NULL, .need = FIELD_GATE, .take = take_supplied},
    {"refused", FIELD_RULE, NULL, .turn = 1, .take = refuse_when_not_heard},
    {"range", FIELD_ANYTHING, NULL, .turn = 1, .take = take_range},
    {"step", FIELD_ANYTHING, NULL, .turn = 1, .take = take_step},
    {"values", FIELD_LIST, NULL, .need = FIELD_MUST, .turn = 2, .take = take_values},
    {"heard_s", FIELD_ANYTHING, NULL, .turn = 1, .take = take_ages},
    {"stale", FIELD_ANYTHING, NULL, .turn = 2, .take = take_stale},
    {0},
};

/* The parameter's values once its supply is known. */
static void
read_heard(struct reading *reading, const struct where *where)
{
    size_t cells = (size_t)desk_rows(reading->desk, reading->id) *
                   (size_t)desk_columns(reading->desk, reading->id);

    desk_supply(reading->desk, reading->id, reading->supply);
    reading->age_s = need_memory(cells + 1, sizeof *reading->age_s);
    set_ages(reading, NAN);
    fields_read_turn(saved_param_fields, 1, where, reading, NULL);
    fields_read_turn(saved_param_fields, 2, where, reading, NULL);
    free(reading->age_s);
}

void
saved_read_param(struct desk *desk, enum param_id id, const struct where *where)
{
    struct reading reading = {.desk = desk, .id = id, .supply = SUPPLY_NONE};

    if (fields_check_keys(saved_param_fields, where) &&
        fields_read_turn(saved_param_fields, 0, where, &reading, NULL) &&
        reading.supply != SUPPLY_NONE)
        read_heard(&reading, where);
}
