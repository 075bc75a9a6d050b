/* SPDX-License-Identifier: MIT */
#include "base/fields.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "core/need.h"
#include "core/text.h"

/* ---- kinds ---- */

static const enum json_kind json_kinds[FIELD_KINDS] = {
    [FIELD_FORMAT] = JSON_NUMBER, [FIELD_TEXT] = JSON_STRING,     [FIELD_SPELT] = JSON_STRING,
    [FIELD_NAME] = JSON_STRING,   [FIELD_COPY] = JSON_STRING,     [FIELD_NUMBER] = JSON_NUMBER,
    [FIELD_ABOVE] = JSON_NUMBER,  [FIELD_WHOLE] = JSON_NUMBER,    [FIELD_SWITCH] = JSON_BOOL,
    [FIELD_WORD] = JSON_STRING,   [FIELD_CHOICE] = JSON_STRING,   [FIELD_OBJECT] = JSON_OBJECT,
    [FIELD_LIST] = JSON_ARRAY,    [FIELD_NUMBERED] = JSON_OBJECT, [FIELD_BY_NAME] = JSON_OBJECT,
    [FIELD_ANYTHING] = JSON_NULL, [FIELD_RULE] = JSON_OBJECT,
};

/* Its `take` looks at the whole object. */
static bool
is_of_whole(const struct field *field)
{
    return field->kind == FIELD_FORMAT || field->kind == FIELD_RULE;
}

static bool
is_any_kind(const struct field *field)
{
    return field->loose || field->kind == FIELD_ANYTHING;
}

/* Whether the key is there as it should be; a problem when it is not. */
static bool
look(const struct field *field, const struct json *json, const struct where *where)
{
    struct where here = where_key(where, field->key);

    if (is_of_whole(field))
        return true;
    if (!is_any_kind(field))
        return json_need(json, where, field->key, json_kinds[field->kind],
                         field->need != FIELD_MAY);
    if (!json_get(json, field->key) && field->need != FIELD_MAY)
        where_problem(&here, "is missing");
    return json_get(json, field->key);
}

/* ---- values ---- */

static void *
place_in(const struct field *field, void *into)
{
    return (char *)into + field->at;
}

void *
field_place(const struct field_given *given)
{
    return place_in(given->field, given->into);
}

static void
take_text(const struct field_given *given)
{
    char **text;

    if (given->field->size == 0)
        return;
    text = field_place(given);
    free(*text); /* the preset */
    *text = need_text(json_string(given->json));
}

static void
take_name(const struct field_given *given)
{
    const char *name = json_string(given->json);

    if (strlen(name) >= given->field->size)
        where_problem(given->where, "is longer than %zu bytes", given->field->size - 1);
    else if (strlen(name) < (size_t)given->field->least)
        where_problem(given->where, "is empty");
    else if (given->field->kind == FIELD_NAME)
        escape_clean(field_place(given), given->field->size, name);
    else
        memcpy(field_place(given), name, strlen(name) + 1);
}

static double
number_of(const struct json *json)
{
    return json_kind(json) == JSON_NUMBER ? json_number(json) : NAN;
}

static void
put_number(const struct field *field, double number, void *into)
{
    if (field->size > 0 && field->kind == FIELD_WHOLE)
        *(int *)place_in(field, into) = (int)number;
    else if (field->size > 0)
        *(double *)place_in(field, into) = number;
}

static bool
is_within(const struct field *field, double number)
{
    return field->least == field->most || (number >= field->least && number <= field->most);
}

static void
take_number(const struct field_given *given)
{
    const struct field *field = given->field;
    double number = number_of(given->json);

    if (is_within(field, number))
        put_number(field, number, given->into);
    else
        where_problem(given->where, "must be %s from %g to %g%s%s",
                      field->what ? field->what : "a number", field->least, field->most,
                      field->unit ? " " : "", field->unit ? field->unit : "");
}

static void
take_above(const struct field_given *given)
{
    double number;

    if (json_take_above(given->json, given->where, given->field->most, &number))
        put_number(given->field, number, given->into);
}

static void
take_whole(const struct field_given *given)
{
    int number;

    if (json_take_whole(given->json, given->where, (int)given->field->least,
                        (int)given->field->most, &number))
        put_number(given->field, number, given->into);
}

static void
take_switch(const struct field_given *given)
{
    bool preset = given->field->preset && *given->field->preset != 0;

    if (given->field->size > 0)
        *(bool *)field_place(given) = json_bool(given->json) != preset;
}

/* ---- words ---- */

const char *
field_word(const struct field_words *words, size_t i)
{
    return words->list ? words->list[i] : words->word(i);
}

static const char *
word_at(const void *words, size_t i)
{
    return field_word(words, i);
}

/* a, b, c; or "a", "b" and "c" */
static const char *
allowed_words(const struct field_words *words, char allowed[300])
{
    const char *quote = words->quoted ? "\"" : "";
    struct text text;

    text_init(&text, allowed, 300);
    for (size_t i = 0; field_word(words, i); i++) {
        const char *between = words->quoted && !field_word(words, i + 1) ? " and " : ", ";

        text_add(&text, "%s%s%s%s", i > 0 ? between : "", quote, field_word(words, i), quote);
    }
    return allowed;
}

void
field_refuse_word(const struct field_words *words, const char *found, const struct where *where)
{
    char nearest[100] = "", allowed[300] = "";
    size_t count = 0;

    while (field_word(words, count))
        count++;
    if (words->nearest)
        where_nearest(found, word_at, words, count, nearest);
    where_problem(where, "%s \"%.*s\"%s; %s%s", words->unknown ? words->unknown : "is",
                  words->shown > 0 ? words->shown : INT_MAX, found, nearest,
                  words->look ? words->look : "allowed are ",
                  words->look ? "" : allowed_words(words, allowed));
}

static void
put_word(const struct field *field, int word, void *into)
{
    if (field->size > 0 && field->kind == FIELD_CHOICE)
        *(bool *)place_in(field, into) = word != (int)*field->preset;
    else if (field->size > 0)
        memcpy(place_in(field, into), &word, sizeof word); /* an enum, perhaps */
}

static void
take_word(const struct field_given *given)
{
    const struct field_words *words = given->field->words;
    const char *found = json_string(given->json);
    size_t i = 0;

    while (field_word(words, i) && strcmp(field_word(words, i), found) != 0)
        i++;
    if (field_word(words, i))
        put_word(given->field, words->first + (int)i, given->into);
    else
        field_refuse_word(words, found, given->where);
}

/* ---- what holds others ---- */

static void
take_object(const struct field_given *given)
{
    fields_read(given->field->object, given->json, given->where, field_place(given),
                given->context);
}

static void
take_anything(const struct field_given *given)
{
    if (given->field->size > 0)
        *(struct json **)field_place(given) = json_copy(given->json);
}

static void
take_format(const struct field_given *given)
{
    json_check_format(given->json, given->where, given->field->key, (int)given->field->least);
}

static field_take *const takers[FIELD_KINDS] = {
    [FIELD_FORMAT] = take_format, [FIELD_TEXT] = take_text,     [FIELD_NAME] = take_name,
    [FIELD_COPY] = take_name,     [FIELD_NUMBER] = take_number, [FIELD_ABOVE] = take_above,
    [FIELD_WHOLE] = take_whole,   [FIELD_SWITCH] = take_switch, [FIELD_WORD] = take_word,
    [FIELD_CHOICE] = take_word,   [FIELD_OBJECT] = take_object, [FIELD_ANYTHING] = take_anything,
};

/* ---- the walk ---- */

void
field_read(const struct field_given *given)
{
    field_take *take = given->field->take ? given->field->take : takers[given->field->kind];

    if (take)
        take(given);
}

/* What stands under the row's key, when it may be taken. */
static void
read_value(const struct field_given *object)
{
    const struct field *field = object->field;
    const struct json *value = json_get(object->json, field->key);
    struct where here = where_key(object->where, field->key);
    struct field_given given = {field, value, &here, object->into, object->context};

    if (is_of_whole(field))
        field_read(object);
    else if (value && (is_any_kind(field) || json_kind(value) == json_kinds[field->kind]))
        field_read(&given);
}

bool
fields_read_turn(const struct fields *fields, int turn, const struct json *json,
                 const struct where *where, void *into, void *context)
{
    for (const struct field *row = fields->rows; row->key; row++) {
        if (row->turn == turn && !look(row, json, where) && row->need == FIELD_GATE)
            return false;
        if ((row->then > 0 ? row->then : row->turn) == turn)
            read_value(&(struct field_given){row, json, where, into, context});
    }
    return true;
}

bool
fields_read(const struct fields *fields, const struct json *json, const struct where *where,
            void *into, void *context)
{
    if (!fields_check_keys(fields, json, where))
        return false;
    for (int turn = 0; turn < FIELD_TURNS; turn++)
        if (!fields_read_turn(fields, turn, json, where, into, context))
            return false;
    return true;
}

bool
fields_check_keys(const struct fields *fields, const struct json *json, const struct where *where)
{
    const char *keys[FIELD_ROWS_MOST + 1];
    size_t count = 0;

    for (const struct field *row = fields->rows; row->key && count < FIELD_ROWS_MOST; row++)
        if (row->kind != FIELD_RULE)
            keys[count++] = row->key;
    keys[count] = NULL;
    return json_check_keys(json, where, keys);
}

void
fields_preset(const struct fields *fields, void *into)
{
    for (const struct field *row = fields->rows; row->key; row++) {
        if (row->kind == FIELD_OBJECT && !row->take)
            fields_preset(row->object, place_in(row, into));
        else if (row->size == 0)
            continue;
        else if (row->kind == FIELD_TEXT && row->preset_text)
            *(char **)place_in(row, into) = need_text(row->preset_text);
        else if (row->preset && (row->kind == FIELD_WORD || row->kind == FIELD_CHOICE))
            put_word(row, (int)*row->preset, into);
        else if (row->preset && row->kind != FIELD_SWITCH)
            put_number(row, *row->preset, into);
    }
}

void
fields_release(const struct fields *fields, void *into)
{
    for (const struct field *row = fields->rows; row->key; row++) {
        if (row->kind == FIELD_OBJECT && !row->take)
            fields_release(row->object, place_in(row, into));
        else if (row->size == 0)
            continue;
        else if (row->kind == FIELD_TEXT)
            free(*(char **)place_in(row, into));
        else if (row->kind == FIELD_ANYTHING)
            json_free(*(struct json **)place_in(row, into));
    }
}
