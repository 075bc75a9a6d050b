#include "state_file.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "atomic_file.h"
#include "escape.h"
#include "json.h"

static bool
is_stored(const struct desk *desk, enum param_id id)
{
    return desk_supplied(desk, id) == SUPPLY_HEARD &&
           desk_rows(desk, id) * desk_columns(desk, id) > 0;
}

/* ---- writing ---- */

/* One list of values or of times; `fill` adds one. */
typedef void fill_fn(struct json *list, const struct desk *desk, enum param_id id, int row,
                     int column, int64_t now_ms);

static void
fill_value(struct json *list, const struct desk *desk, enum param_id id, int row, int column,
           int64_t now_ms)
{
    const struct value *value = desk_value(desk, id, row, column);

    (void)now_ms;
    if (value->state == VALUE_UNKNOWN)
        json_add_number(list, NULL, NAN); /* null */
    else if (params[id].unit == UNIT_TEXT)
        json_add_string(list, NULL, desk_text(desk, id, row, column));
    else if (params[id].unit == UNIT_SWITCH)
        json_add_bool(list, NULL, value->number != 0);
    else if (params[id].unit == UNIT_WORD)
        json_add_string(list, NULL, param_words(id)[(int)value->number]);
    else if (value->number == -HUGE_VAL)
        json_add_string(list, NULL, "off");
    else
        json_add_number(list, NULL, value->number);
}

static void
fill_heard(struct json *list, const struct desk *desk, enum param_id id, int row, int column,
           int64_t now_ms)
{
    const struct value *value = desk_value(desk, id, row, column);
    double ago_s = (double)(now_ms - value->heard_ms) / 1000;

    if (ago_s < 0.001)
        ago_s = 0.001; /* so that a stale one has a sign */
    json_add_number(list, NULL,
                    value->state == VALUE_UNKNOWN ? NAN
                    : value->state == VALUE_STALE ? -ago_s
                                                  : ago_s);
}

static struct json *
list_of(const struct desk *desk, enum param_id id, int64_t now_ms, fill_fn *fill)
{
    struct json *list = json_new_array();

    for (int row = 0; row < desk_rows(desk, id); row++) {
        struct json *columns = params[id].column == INDEX_NONE ? NULL : json_new_array();

        for (int column = 0; column < desk_columns(desk, id); column++)
            fill(columns ? columns : list, desk, id, row, column, now_ms);
        if (columns)
            json_add(list, NULL, columns);
    }
    return list;
}

static struct json *
values_json(const struct desk *desk, int64_t now_ms)
{
    struct json *values = json_new_object();

    for (int id = 0; id < PARAMS; id++) {
        struct json *one;

        if (!is_stored(desk, (enum param_id)id))
            continue;
        one = json_new_object();
        json_add_string(one, "unit", unit_name(params[id].unit));
        json_add(one, "values", list_of(desk, (enum param_id)id, now_ms, fill_value));
        json_add(one, "heard_s", list_of(desk, (enum param_id)id, now_ms, fill_heard));
        json_add(values, params[id].name, one);
    }
    return values;
}

static struct json *
counts_json(const struct desk *desk)
{
    struct json *counts = json_new_object();

    for (int kind = INDEX_NONE + 1; kind < INDEX_KINDS; kind++)
        json_add_number(counts, index_name((enum index_kind)kind),
                        desk_count(desk, (enum index_kind)kind));
    return counts;
}

bool
state_file_write(const char *path, const struct desk *desk, const struct state_note *note,
                 int64_t now_ms)
{
    struct json *root = json_new_object();
    char *text;
    bool good;

    json_add_number(root, "state_format", STATE_FORMAT);
    json_add_string(root, "desk", note->desk);
    json_add_string(root, "show", note->show);
    json_add_string(root, "at", note->at);
    json_add_string(root, "by", note->by);
    json_add_string(root, "note", note->note);
    json_add(root, "counts", counts_json(desk));
    json_add(root, "values", values_json(desk, now_ms));
    text = json_print(root, true);
    good = atomic_file_write(path, text, strlen(text), 0644);
    free(text);
    json_free(root);
    return good;
}

/* ---- reading ---- */

/* The number that the JSON value stands for; false when it can stand for none. */
static bool
number_of(enum param_id id, const struct json *json, double *number)
{
    switch (json_kind(json)) {
    case JSON_BOOL:
        *number = json_bool(json);
        return params[id].unit == UNIT_SWITCH;
    case JSON_NUMBER:
        *number = json_number(json);
        return params[id].unit != UNIT_SWITCH && params[id].unit != UNIT_WORD &&
               param_accepts(id, *number);
    case JSON_STRING:
        if (params[id].unit == UNIT_WORD) {
            *number = param_word(id, json_string(json));
            return *number >= 0;
        }
        *number = -HUGE_VAL;
        return strcmp(json_string(json), "off") == 0 && param_may_be_off(id);
    default:
        return false;
    }
}

static void
read_value(struct desk *desk, enum param_id id, int row, int column, const struct json *json,
           const struct json *heard, int64_t now_ms, const struct where *where)
{
    double number, ago_s;
    int64_t heard_ms;

    if (json_kind(json) == JSON_NULL)
        return;
    if (!heard || json_kind(heard) != JSON_NUMBER || !(fabs(json_number(heard)) <= 1e9)) {
        where_problem(where, "no time in heard_s belongs to it");
        return;
    }
    ago_s = json_number(heard);
    heard_ms = now_ms - (int64_t)(fabs(ago_s) * 1000);
    if (params[id].unit == UNIT_TEXT) {
        if (json_kind(json) == JSON_STRING)
            desk_set_text(desk, id, row, column, json_string(json), heard_ms);
        else
            where_problem(where, "must be a string or null");
    } else if (number_of(id, json, &number)) {
        desk_set(desk, id, row, column, number, heard_ms);
    } else {
        where_problem(where, "is no value of %s", params[id].name);
    }
    if (ago_s < 0)
        desk_set_stale(desk, id, row, column);
}

/* The next of two lists that go side by side. */
static const struct json *
next(const struct json *json)
{
    return json ? json_next(json) : NULL;
}

static bool
is_list(const struct json *json, int count, const struct where *where)
{
    if (json && json_kind(json) == JSON_ARRAY && json_size(json) == count)
        return true;
    where_problem(where, "must be a list of %d", count);
    return false;
}

static void
read_row(struct desk *desk, enum param_id id, int row, const struct json *list,
         const struct json *heards, int64_t now_ms, const struct where *where)
{
    const struct json *heard;
    int column = 0;

    if (!is_list(list, desk_columns(desk, id), where) ||
        !is_list(heards, desk_columns(desk, id), where))
        return;
    heard = json_first(heards);
    for (const struct json *item = json_first(list); item;
         item = json_next(item), heard = next(heard), column++) {
        struct where here = where_index(where, column);

        read_value(desk, id, row, column, item, heard, now_ms, &here);
    }
}

static void
read_param(struct desk *desk, enum param_id id, const struct json *json, int64_t now_ms,
           const struct where *where)
{
    static const char *const keys[] = {"unit", "values", "heard_s", NULL};
    const struct json *values, *heards, *heard;
    struct where list = where_key(where, "values");
    int row = 0;

    if (!json_check_keys(json, where, keys))
        return;
    json_need(json, where, "unit", JSON_STRING, true);
    values = json_need(json, where, "values", JSON_ARRAY, true);
    heards = json_need(json, where, "heard_s", JSON_ARRAY, true);
    if (!values || !heards || !is_list(values, desk_rows(desk, id), &list) ||
        !is_list(heards, desk_rows(desk, id), &list))
        return;
    heard = json_first(heards);
    for (const struct json *item = json_first(values); item;
         item = json_next(item), heard = next(heard), row++) {
        struct where here = where_index(&list, row);

        if (params[id].column == INDEX_NONE)
            read_value(desk, id, row, 0, item, heard, now_ms, &here);
        else
            read_row(desk, id, row, item, heard, now_ms, &here);
    }
}

static const char *
param_at(const void *context, size_t i)
{
    (void)context;
    return params[i].name;
}

static void
read_values(struct desk *desk, const struct json *json, int64_t now_ms, const struct where *where)
{
    char nearest[100];

    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        enum param_id id = param_find(json_key(item));
        struct where here = where_key(where, json_key(item));

        if (id == PARAMS)
            where_problem(&here, "unknown parameter%s",
                          where_nearest(json_key(item), param_at, NULL, PARAMS, nearest));
        else if (is_stored(desk, id))
            read_param(desk, id, item, now_ms, &here);
        else
            where_problem(&here, "the profile does not read it from the desk");
    }
}

static void
check_counts(const struct desk *desk, const struct json *json, const struct where *where)
{
    const char *keys[INDEX_KINDS] = {NULL};

    for (int kind = INDEX_NONE + 1; kind < INDEX_KINDS; kind++)
        keys[kind - 1] = index_name((enum index_kind)kind);
    if (!json_check_keys(json, where, keys))
        return;
    for (int kind = INDEX_NONE + 1; kind < INDEX_KINDS; kind++) {
        const struct json *count = json_need(json, where, keys[kind - 1], JSON_NUMBER, true);
        struct where here = where_key(where, keys[kind - 1]);

        if (count && json_number(count) != desk_count(desk, (enum index_kind)kind))
            where_problem(&here, "is %g, and the profile has %d: a state of another desk",
                          json_number(count), desk_count(desk, (enum index_kind)kind));
    }
}

static void
read_text(const struct json *json, const struct where *where, const char *key, char *to,
          size_t size)
{
    const struct json *text = json_need(json, where, key, JSON_STRING, true);

    if (text)
        escape_clean(to, size, json_string(text));
}

/* False when there is no use in reading on. */
static bool
check_format(const struct json *json, const struct where *where)
{
    const struct json *format = json_need(json, where, "state_format", JSON_NUMBER, true);
    struct where here = where_key(where, "state_format");

    if (format && json_number(format) != STATE_FORMAT)
        where_problem(&here, "is %g; this version reads format %d", json_number(format),
                      STATE_FORMAT);
    return format && json_number(format) == STATE_FORMAT;
}

static void
read_root(struct desk *desk, const struct json *json, struct state_note *note, int64_t now_ms,
          const struct where *where)
{
    static const char *const keys[] = {"state_format", "desk",   "show",   "at", "by",
                                       "note",         "counts", "values", NULL};
    const struct json *counts, *values;
    struct where here = where_key(where, "counts");
    size_t before = where->problems->count;

    if (!json_check_keys(json, where, keys))
        return;
    read_text(json, where, "desk", note->desk, sizeof note->desk);
    read_text(json, where, "show", note->show, sizeof note->show);
    read_text(json, where, "at", note->at, sizeof note->at);
    read_text(json, where, "by", note->by, sizeof note->by);
    read_text(json, where, "note", note->note, sizeof note->note);
    counts = json_need(json, where, "counts", JSON_OBJECT, true);
    values = json_need(json, where, "values", JSON_OBJECT, true);
    if (counts)
        check_counts(desk, counts, &here);
    here = where_key(where, "values");
    if (values && where->problems->count == before)
        read_values(desk, values, now_ms, &here);
}

struct desk *
state_file_read(const char *path, const struct desk *like, struct state_note *note, int64_t now_ms,
                struct problems *problems)
{
    struct where where = where_file(path, problems);
    size_t before = problems->count;
    struct json *json = json_read(path, problems);
    struct desk *desk;

    *note = (struct state_note){.desk = ""};
    if (!json)
        return NULL;
    desk = desk_copy(like);
    if (!desk)
        abort();
    desk_forget(desk);
    if (json_kind(json) != JSON_OBJECT)
        where_problem(&where, "must be an object");
    else if (check_format(json, &where))
        read_root(desk, json, note, now_ms, &where);
    json_free(json);
    if (problems->count == before)
        return desk;
    desk_free(desk);
    return NULL;
}
