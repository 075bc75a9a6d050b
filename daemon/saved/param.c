/* One parameter of a saved desk: its values in the shape of its indexes, when each was heard, and
 * what of it is stale.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "saved/parts.h"

/* ---- small parts ---- */

int
saved_read_word(const struct json *json, const struct where *where, const char *const words[])
{
    char allowed[200] = "";
    size_t used = 0;

    if (json_kind(json) != JSON_STRING) {
        where_problem(where, "is %s, must be a word", json_kind_name(json_kind(json)));
        return -1;
    }
    for (int i = 0; words[i]; i++) {
        if (strcmp(words[i], json_string(json)) == 0)
            return i;
        used += (size_t)snprintf(allowed + used, sizeof allowed - used, "%s%s", i > 0 ? ", " : "",
                                 words[i]);
    }
    where_problem(where, "is \"%.60s\"; allowed are %s", json_string(json), allowed);
    return -1;
}

double
saved_number(const struct json *json)
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
    const struct where *where; /* of the parameter */
    const struct json *ages;   /* NULL: none */
    double *age_s;             /* one for each cell, NAN where the file has none; owned */
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
read_ages(struct reading *reading)
{
    int cells = desk_rows(reading->desk, reading->id) * desk_columns(reading->desk, reading->id);
    struct where here = where_key(reading->where, "heard_s");
    bool one = reading->ages && json_kind(reading->ages) == JSON_NUMBER;

    for (int i = 0; i < cells; i++)
        reading->age_s[i] = NAN;
    if (reading->ages && !one)
        read_cells(reading, reading->ages, &here, read_age);
    if (!one || !is_age(reading->ages, &here))
        return;
    for (int i = 0; i < cells; i++)
        reading->age_s[i] = json_number(reading->ages);
}

/* The number that the element stands for; false with a problem. */
static bool
read_number(const struct reading *reading, const struct json *json, const struct where *where,
            double *number)
{
    const struct param *param = &params[reading->id];
    int word;

    if (param->unit == UNIT_WORD) {
        word = saved_read_word(json, where, param_words(reading->id));
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
        make_stale(reading, where, saved_number(item), 1);
    } else if (has_size(item, where, 2)) {
        row = json_first(item);
        make_stale(reading, where, saved_number(row), saved_number(json_next(row)));
    }
}

static void
read_stale(struct reading *reading, const struct json *json)
{
    struct where where = where_key(reading->where, "stale");
    int place = 0;

    if (json_kind(json) == JSON_BOOL && json_bool(json)) {
        make_all_stale(reading);
        return;
    }
    if (json_kind(json) != JSON_ARRAY) {
        where_problem(&where, "must be true or an array of places");
        return;
    }
    for (const struct json *item = json_first(json); item; item = json_next(item), place++) {
        struct where here = where_index(&where, place);

        read_stale_place(reading, item, &here);
    }
}

/* ---- the controls ---- */

static void
read_range(struct reading *reading, const struct json *json)
{
    struct where where = where_key(reading->where, "range");
    const struct json *least, *most;
    struct travel travel;

    if (!has_size(json, &where, 2))
        return;
    least = json_first(json);
    most = json_next(least);
    travel.least = is_off(least) && param_may_be_off(reading->id) ? -HUGE_VAL : saved_number(least);
    travel.most = saved_number(most);
    if (!(travel.least <= travel.most))
        where_problem(&where, "must be [least, most], two rising numbers");
    else
        desk_set_travel(reading->desk, reading->id, travel);
}

static void
read_step(struct reading *reading, const struct json *json)
{
    struct where where = where_key(reading->where, "step");

    if (!(saved_number(json) > 0))
        where_problem(&where, "must be a number above 0");
    else
        desk_set_step(reading->desk, reading->id, json_number(json));
}

static void
refuse_when_not_heard(const struct reading *reading, const struct json *json, const char *key)
{
    struct where where = where_key(reading->where, key);

    if (reading->supply != SUPPLY_HEARD && json_get(json, key))
        where_problem(&where, "only values that are heard have it");
}

static void
read_unit(const struct reading *reading, const struct json *json)
{
    const char *unit = unit_name(params[reading->id].unit);
    const struct json *told = json_need(json, reading->where, "unit", JSON_STRING, true);
    struct where where = where_key(reading->where, "unit");

    if (told && strcmp(json_string(told), unit) != 0)
        where_problem(&where, "is \"%.60s\", must be \"%s\"", json_string(told), unit);
}

/* The parameter's values once its supply is known. */
static void
read_values(struct reading *reading, const struct json *json)
{
    const struct json *values = json_get(json, "values"), *stale = json_get(json, "stale");
    struct where where = where_key(reading->where, "values");
    size_t cells = (size_t)desk_rows(reading->desk, reading->id) *
                   (size_t)desk_columns(reading->desk, reading->id);

    reading->ages = json_get(json, "heard_s");
    reading->age_s = calloc(cells + 1, sizeof *reading->age_s);
    if (!reading->age_s)
        abort();
    read_ages(reading);
    if (values)
        read_cells(reading, values, &where, read_value);
    else
        where_problem(&where, "is missing; it must be an array");
    if (stale)
        read_stale(reading, stale);
    free(reading->age_s);
}

void
saved_read_param(struct desk *desk, enum param_id id, const struct json *json,
                 const struct where *where)
{
    static const char *const keys[] = {"unit",   "supplied", "range", "step",
                                       "values", "heard_s",  "stale", NULL};
    struct reading reading = {.desk = desk, .id = id, .where = where};
    struct where here = where_key(where, "supplied");
    const struct json *supplied, *range, *step;
    int word;

    if (!json_check_keys(json, where, keys))
        return;
    read_unit(&reading, json);
    supplied = json_need(json, where, "supplied", JSON_STRING, true);
    word = supplied ? saved_read_word(supplied, &here, saved_supplies) : -1;
    if (word < 0)
        return;
    reading.supply = (enum supply)(SUPPLY_HEARD + word);
    if (reading.supply == SUPPLY_ABSENT && isnan(params[id].absent)) {
        where_problem(&here, "nothing stands in for it on a desk that lacks it");
        return;
    }
    desk_supply(desk, id, reading.supply);
    refuse_when_not_heard(&reading, json, "heard_s");
    refuse_when_not_heard(&reading, json, "stale");
    range = json_get(json, "range");
    step = json_get(json, "step");
    if (range)
        read_range(&reading, range);
    if (step)
        read_step(&reading, step);
    read_values(&reading, json);
}
