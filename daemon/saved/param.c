/* SPDX-License-Identifier: MIT */
/* One parameter of a saved desk: its values in the shape of its indexes, when each was heard, and
 * what of it is stale.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "saved/parts.h"

/* ---- small parts ---- */

/* Position of the string in the list, or -1 with a problem. */
static int
read_word(const struct json *json, const struct where *where, const char *const words[])
{
    struct field_words others = {.list = words, .shown = SAVED_WORD_SHOWN};

    if (json_kind(json) != JSON_STRING) {
        where_problem(where, "is %s, must be a word", json_kind_name(json_kind(json)));
        return -1;
    }
    for (int i = 0; words[i]; i++)
        if (strcmp(words[i], json_string(json)) == 0)
            return i;
    field_refuse_word(&others, json_string(json), where);
    return -1;
}

/* The number, NAN for anything else and for NULL. */
static double
number_of(const struct json *json)
{
    return json && json_kind(json) == JSON_NUMBER ? json_number(json) : NAN;
}

static bool
is_off(const struct json *json)
{
    return json_kind(json) == JSON_STRING && strcmp(json_string(json), "-inf") == 0;
}

/* ---- the values ---- */

struct reading {
    struct desk *desk;
    enum param_id id;
    enum supply supply;
    const struct json *ages; /* NULL: none */
    double *age_s;           /* one for each cell, NAN where the file has none; owned */
};

/* Calls `cell` for each element of an array that has the parameter's shape. */
typedef void cell_fn(struct reading *reading, const struct json *json, const struct where *where,
                     int row, int column);

static bool
has_size(const struct json *json, const struct where *where, int size)
{
    if (json_kind(json) != JSON_ARRAY) {
        where_problem(where, "is %s, must be an array", json_kind_name(json_kind(json)));
        return false;
    }
    if (json_size(json) == size)
        return true;
    where_problem(where, "has %d elements, must have %d", json_size(json), size);
    return false;
}

static void
read_row(struct reading *reading, const struct json *json, const struct where *where, int row,
         cell_fn *cell)
{
    int column = 0;

    if (!has_size(json, where, desk_columns(reading->desk, reading->id)))
        return;
    for (const struct json *item = json_first(json); item; item = json_next(item), column++) {
        struct where here = where_index(where, column);

        cell(reading, item, &here, row, column);
    }
}

static void
read_cells(struct reading *reading, const struct json *json, const struct where *where,
           cell_fn *cell)
{
    int row = 0;

    if (!has_size(json, where, desk_rows(reading->desk, reading->id)))
        return;
    for (const struct json *item = json_first(json); item; item = json_next(item), row++) {
        struct where here = where_index(where, row);

        if (params[reading->id].column == INDEX_NONE)
            cell(reading, item, &here, row, 0);
        else
            read_row(reading, item, &here, row, cell);
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
is_age(const struct json *json, const struct where *where)
{
    double ms = json_kind(json) == JSON_NUMBER ? json_number(json) * 1000 : NAN;

    if (ms >= 0 && ms <= 1e12 && fabs(ms - round(ms)) < 0.01)
        return true;
    where_problem(where, "must be seconds from 0, in thousandths");
    return false;
}

static void
read_age(struct reading *reading, const struct json *json, const struct where *where, int row,
         int column)
{
    if (json_kind(json) != JSON_NULL && is_age(json, where))
        *age_at(reading, row, column) = json_number(json);
}

/* One number stands for all. */
static void
take_ages(const struct field_given *given)
{
    struct reading *reading = given->into;

    reading->ages = given->json;
    if (json_kind(given->json) != JSON_NUMBER)
        read_cells(reading, given->json, given->where, read_age);
    else if (is_age(given->json, given->where))
        set_ages(reading, json_number(given->json));
}

/* The number that the element stands for; false with a problem. */
static bool
read_number(const struct reading *reading, const struct json *json, const struct where *where,
            double *number)
{
    const struct param *param = &params[reading->id];
    int word;

    if (param->unit == UNIT_WORD) {
        word = read_word(json, where, param_words(reading->id));
        *number = word;
        return word >= 0;
    }
    if (param->unit == UNIT_SWITCH) {
        *number = json_kind(json) == JSON_BOOL && json_bool(json);
        if (json_kind(json) != JSON_BOOL)
            where_problem(where, "is %s, must be true or false", json_kind_name(json_kind(json)));
        return json_kind(json) == JSON_BOOL;
    }
    *number = is_off(json) ? -HUGE_VAL : json_kind(json) == JSON_NUMBER ? json_number(json) : NAN;
    if (param_accepts(reading->id, *number))
        return true;
    where_problem(where, "must be a number from %g to %g%s", param->least, param->most,
                  param_may_be_off(reading->id) ? " or \"-inf\"" : "");
    return false;
}

/* A value that stands in the file, with the time at which it was heard. */
static void
take_value(struct reading *reading, const struct json *json, const struct where *where, int row,
           int column, int64_t heard_ms)
{
    double number;

    if (params[reading->id].unit != UNIT_TEXT) {
        if (read_number(reading, json, where, &number))
            desk_set(reading->desk, reading->id, row, column, number, heard_ms);
    } else if (json_kind(json) != JSON_STRING) {
        where_problem(where, "is %s, must be a string", json_kind_name(json_kind(json)));
    } else if (strlen(json_string(json)) >= DESK_TEXT_SIZE) {
        where_problem(where, "is longer than %d bytes", DESK_TEXT_SIZE - 1);
    } else {
        desk_set_text(reading->desk, reading->id, row, column, json_string(json), heard_ms);
    }
}

static void
read_value(struct reading *reading, const struct json *json, const struct where *where, int row,
           int column)
{
    double age_s = *age_at(reading, row, column);
    bool heard = reading->supply == SUPPLY_HEARD;
    bool all = reading->ages && json_kind(reading->ages) == JSON_NUMBER;

    if (json_kind(json) == JSON_NULL) {
        if (!heard)
            where_problem(where, "is null, which only a value that is heard can be");
        else if (!isnan(age_s) && !all)
            where_problem(where, "is not known, yet \"heard_s\" says when it was heard");
        return;
    }
    if (heard && isnan(age_s))
        where_problem(where, "is known, yet \"heard_s\" does not say when it was heard");
    take_value(reading, json, where, row, column,
               heard && !isnan(age_s) ? -llround(age_s * 1000) : 0);
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
read_stale_place(struct reading *reading, const struct json *item, const struct where *where)
{
    const struct json *row;

    if (params[reading->id].column == INDEX_NONE) {
        make_stale(reading, where, number_of(item), 1);
    } else if (has_size(item, where, 2)) {
        row = json_first(item);
        make_stale(reading, where, number_of(row), number_of(json_next(row)));
    }
}

static void
take_stale(const struct field_given *given)
{
    struct reading *reading = given->into;
    const struct json *json = given->json;
    int place = 0;

    if (json_kind(json) == JSON_BOOL && json_bool(json)) {
        make_all_stale(reading);
        return;
    }
    if (json_kind(json) != JSON_ARRAY) {
        where_problem(given->where, "must be true or an array of places");
        return;
    }
    for (const struct json *item = json_first(json); item; item = json_next(item), place++) {
        struct where here = where_index(given->where, place);

        read_stale_place(reading, item, &here);
    }
}

/* ---- the controls ---- */

static void
take_range(const struct field_given *given)
{
    struct reading *reading = given->into;
    const struct json *least, *most;
    struct travel travel;

    if (!has_size(given->json, given->where, 2))
        return;
    least = json_first(given->json);
    most = json_next(least);
    travel.least = is_off(least) && param_may_be_off(reading->id) ? -HUGE_VAL : number_of(least);
    travel.most = number_of(most);
    if (!(travel.least <= travel.most))
        where_problem(given->where, "must be [least, most], two rising numbers");
    else
        desk_set_travel(reading->desk, reading->id, travel);
}

static void
take_step(const struct field_given *given)
{
    struct reading *reading = given->into;

    if (!(number_of(given->json) > 0))
        where_problem(given->where, "must be a number above 0");
    else
        desk_set_step(reading->desk, reading->id, json_number(given->json));
}

/* ---- the keys ---- */

static void
take_unit(const struct field_given *given)
{
    const struct reading *reading = given->into;
    const char *unit = unit_name(params[reading->id].unit);

    if (strcmp(json_string(given->json), unit) != 0)
        where_problem(given->where, "is \"%.60s\", must be \"%s\"", json_string(given->json), unit);
}

static void
take_supplied(const struct field_given *given)
{
    struct reading *reading = given->into;
    int word = read_word(given->json, given->where, saved_supplies);

    if (word < 0)
        return;
    if (SUPPLY_HEARD + word == SUPPLY_ABSENT && isnan(params[reading->id].absent))
        where_problem(given->where, "nothing stands in for it on a desk that lacks it");
    else
        reading->supply = (enum supply)(SUPPLY_HEARD + word);
}

static void
refuse_when_not_heard(const struct field_given *given)
{
    static const char *const keys[] = {"heard_s", "stale"};
    const struct reading *reading = given->into;

    for (size_t i = 0; i < 2; i++) {
        struct where here = where_key(given->where, keys[i]);

        if (reading->supply != SUPPLY_HEARD && json_get(given->json, keys[i]))
            where_problem(&here, "only values that are heard have it");
    }
}

static void
take_values(const struct field_given *given)
{
    read_cells(given->into, given->json, given->where, read_value);
}

static const struct field param_keys[] = {
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

const struct fields saved_param_fields = {.rows = param_keys};

/* The parameter's values once its supply is known. */
static void
read_heard(struct reading *reading, const struct json *json, const struct where *where)
{
    size_t cells = (size_t)desk_rows(reading->desk, reading->id) *
                   (size_t)desk_columns(reading->desk, reading->id);

    desk_supply(reading->desk, reading->id, reading->supply);
    reading->age_s = need_memory(cells + 1, sizeof *reading->age_s);
    set_ages(reading, NAN);
    fields_read_turn(&saved_param_fields, 1, json, where, reading, NULL);
    fields_read_turn(&saved_param_fields, 2, json, where, reading, NULL);
    free(reading->age_s);
}

void
saved_read_param(struct desk *desk, enum param_id id, const struct json *json,
                 const struct where *where)
{
    struct reading reading = {.desk = desk, .id = id, .supply = SUPPLY_NONE};

    if (fields_check_keys(&saved_param_fields, json, where) &&
        fields_read_turn(&saved_param_fields, 0, json, where, &reading, NULL) &&
        reading.supply != SUPPLY_NONE)
        read_heard(&reading, json, where);
}
