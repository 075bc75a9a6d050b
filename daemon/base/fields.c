/* SPDX-License-Identifier: MIT */
#include "base/fields.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "core/need.h"
#include "core/text.h"

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
    *text = need_text(where_text(given->where));
}

static void
take_name(const struct field_given *given)
{
    const char *name = where_text(given->where);

    if (strlen(name) >= given->field->size)
        where_problem(given->where, "is longer than %zu bytes", given->field->size - 1);
    else if (strlen(name) < (size_t)given->field->least)
        where_problem(given->where, "is empty");
    else if (given->field->kind == FIELD_NAME)
        escape_clean(field_place(given), given->field->size, name);
    else
        memcpy(field_place(given), name, strlen(name) + 1);
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
    double number = where_number(given->where);

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

    if (where_take_above(given->where, given->field->most, &number))
        put_number(given->field, number, given->into);
}

static void
take_whole(const struct field_given *given)
{
    int number;

    if (where_take_whole(given->where, (int)given->field->least, (int)given->field->most, &number))
        put_number(given->field, number, given->into);
}

static void
take_switch(const struct field_given *given)
{
    bool preset = given->field->preset && *given->field->preset != 0;

    if (given->field->size > 0)
        *(bool *)field_place(given) = json_bool(given->where->json) != preset;
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

int
field_find_word(const struct field_words *words, const struct where *where)
{
    const char *found = where_text(where);

    for (size_t i = 0; field_word(words, i); i++)
        if (strcmp(field_word(words, i), found) == 0)
            return (int)i;
    field_refuse_word(words, found, where);
    return -1;
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
    int word = field_find_word(given->field->words, given->where);

    if (word >= 0)
        put_word(given->field, given->field->words->first + word, given->into);
}

/* ---- what holds others ---- */

static void
take_object(const struct field_given *given)
{
    fields_read(given->field->object, given->where, field_place(given), given->context);
}

static void
take_anything(const struct field_given *given)
{
    if (given->field->size > 0)
        *(struct json **)field_place(given) = json_copy(given->where->json);
}

static void
take_format(const struct field_given *given)
{
    where_check_format(given->where, given->field->key, (int)given->field->least);
}

/* ---- kinds ---- */

static const struct {
    enum json_kind json;
    field_take *take;
} kinds[FIELD_KINDS] = {
    [FIELD_FORMAT] = {JSON_NUMBER, take_format}, [FIELD_TEXT] = {JSON_STRING, take_text},
    [FIELD_SPELT] = {JSON_STRING, NULL},         [FIELD_NAME] = {JSON_STRING, take_name},
    [FIELD_COPY] = {JSON_STRING, take_name},     [FIELD_NUMBER] = {JSON_NUMBER, take_number},
    [FIELD_ABOVE] = {JSON_NUMBER, take_above},   [FIELD_WHOLE] = {JSON_NUMBER, take_whole},
    [FIELD_SWITCH] = {JSON_BOOL, take_switch},   [FIELD_WORD] = {JSON_STRING, take_word},
    [FIELD_CHOICE] = {JSON_STRING, take_word},   [FIELD_OBJECT] = {JSON_OBJECT, take_object},
    [FIELD_LIST] = {JSON_ARRAY, NULL},           [FIELD_NUMBERED] = {JSON_OBJECT, NULL},
    [FIELD_BY_NAME] = {JSON_OBJECT, NULL},       [FIELD_ANYTHING] = {JSON_NULL, take_anything},
    [FIELD_RULE] = {JSON_OBJECT, NULL},
};

/* ---- the walk ---- */

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

/* Whether there is something to take. */
static bool
is_there(const struct field *field, const struct where *where)
{
    if (is_of_whole(field) || is_any_kind(field))
        return where->json;
    return where_is(where, kinds[field->kind].json);
}

/* The same; a problem when it is not as it should be. */
static bool
look(const struct field *field, const struct where *where)
{
    bool must = field->need >= FIELD_MUST;

    if (is_of_whole(field) || is_any_kind(field)) {
        if (!where->json && must)
            where_problem(where, "is missing");
        return where->json;
    }
    return where_need(where, kinds[field->kind].json, must);
}

void
field_read(const struct field_given *given)
{
    field_take *take = given->field->take ? given->field->take : kinds[given->field->kind].take;

    if (take)
        take(given);
}

bool
fields_read_turn(const struct field *fields, int turn, const struct where *where, void *into,
                 void *context)
{
    for (const struct field *row = fields; row->key; row++) {
        struct where here = is_of_whole(row) ? *where : where_key(where, row->key);

        if (row->turn == turn && !look(row, &here) && row->need == FIELD_GATE)
            return false;
        if ((row->then > 0 ? row->then : row->turn) == turn && is_there(row, &here))
            field_read(&(struct field_given){row, &here, into, context});
    }
    return true;
}

bool
fields_read(const struct field *fields, const struct where *where, void *into, void *context)
{
    if (!fields_check_keys(fields, where))
        return false;
    for (int turn = 0; turn < FIELD_TURNS; turn++)
        if (!fields_read_turn(fields, turn, where, into, context))
            return false;
    return true;
}

static const char *
key_at(const void *fields, size_t i)
{
    const struct field *row = (const struct field *)fields + i;

    return row->kind == FIELD_RULE ? NULL : row->key;
}

const struct field *
fields_last(const struct field *fields)
{
    while (fields->key)
        fields++;
    return fields;
}

const struct field *
fields_find(const struct field *fields, const char *key)
{
    const struct field *row = fields;

    while (row->key && (row->kind == FIELD_RULE || strcmp(row->key, key) != 0))
        row++;
    return row->key ? row : NULL;
}

bool
fields_check_keys(const struct field *fields, const struct where *where)
{
    size_t count = (size_t)(fields_last(fields) - fields);

    if (!where_need(where, JSON_OBJECT, true))
        return false;
    for (struct where one = where_first(where); one.json; where_next(&one))
        if (!fields_find(fields, one.key))
            where_unknown_key(&one, "key", key_at, fields, count);
    return true;
}

void
fields_preset(const struct field *fields, void *into)
{
    for (const struct field *row = fields; row->key; row++) {
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
fields_release(const struct field *fields, void *into)
{
    for (const struct field *row = fields; row->key; row++) {
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
