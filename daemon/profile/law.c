/* SPDX-License-Identifier: MIT */
/* Laws as they are read, and bound to a parameter. What they give: law_value.c. */
#include "profile/law.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "profile/loader.h"

/* ---- reading ---- */

static bool
is_value(const struct where *where)
{
    double value = where_level(where);

    return fabs(value) <= LAW_VALUE_MOST || (value == -HUGE_VAL && where_text(where));
}

static bool
read_point(struct law_point *point, const struct where *where)
{
    struct where pair[2];
    bool good = where_pair(where, pair);

    point->wire = where_number(&pair[0]);
    point->value = where_level(&pair[1]);
    return good && fabs(point->wire) <= LAW_WIRE_MOST && is_value(&pair[1]);
}

/* Wire values rise; values rise or fall throughout; "-inf" only at the end of the travel. */
static void
check_points(const struct law *law, const struct where *where)
{
    double sign = 0;

    for (size_t i = 0; i < law->count; i++) {
        const struct law_point *point = &law->points[i];
        struct where here = where_index(where, (int)i);

        if (point->value == -HUGE_VAL && i != 0 && i != law->count - 1)
            where_problem(&here, "\"-inf\" may stand only in the first or last point");
        if (law->kind == LAW_RATIO && point->value <= 0)
            where_problem(&here, "a ratio law needs values above 0");
        if (i == 0)
            continue;
        if (point->wire <= point[-1].wire)
            where_problem(&here, "the wire value %g does not rise above %g", point->wire,
                          point[-1].wire);
        if (i == 1)
            sign = point->value > point[-1].value ? 1 : -1;
        if (!(sign * point->value > sign * point[-1].value))
            where_problem(&here, "the law turns back at %g; values must rise or fall throughout",
                          point->value);
    }
}

static void
take_points(const struct field_given *given)
{
    const struct where *where = given->where;
    struct law *law = given->into;
    size_t before = where->problems->count;

    if (!where_is(where, JSON_ARRAY) || json_size(where->json) < 2) {
        where_problem(where, "must be an array of at least two [wire, value] points");
        return;
    }
    law->points = need_memory((size_t)json_size(where->json), sizeof *law->points);
    for (struct where one = where_first(where); one.json; where_next(&one))
        if (!read_point(&law->points[law->count++], &one))
            where_problem(&one, "must be [wire, value]: two numbers, or \"-inf\" as the value");
    if (where->problems->count == before)
        check_points(law, where);
}

/* A number, a switch as 1 or 0; NAN for anything else. */
static double
number_or_switch(const struct where *where)
{
    return where_is(where, JSON_BOOL) ? json_bool(where->json) : where_level(where);
}

/* What it stands for. */
static bool
read_meaning(struct law_word *word, const struct where *where)
{
    word->value = number_or_switch(where);
    if (isnan(word->value))
        word->word = need_text(where_text(where));
    return word->word || where_is(where, JSON_BOOL) || where_is(where, JSON_NULL) ||
           is_value(where);
}

static bool
read_word(struct law_word *word, const struct where *where)
{
    struct where pair[2];
    bool good = where_pair(where, pair);
    double wire = number_or_switch(&pair[0]);

    if (!good)
        return false;
    word->wire_text = need_text(where_text(&pair[0]));
    if (fabs(wire) <= LAW_WIRE_MOST)
        word->wire = wire;
    else if (!word->wire_text)
        return false;
    return read_meaning(word, &pair[1]);
}

static bool
same_wire(const struct law_word *one, const struct law_word *other)
{
    if (one->wire_text || other->wire_text)
        return one->wire_text && other->wire_text && strcmp(one->wire_text, other->wire_text) == 0;
    return one->wire == other->wire;
}

static void
take_words(const struct field_given *given)
{
    const struct where *where = given->where;
    struct law *law = given->into;

    if (!where_is(where, JSON_ARRAY) || json_size(where->json) < 1) {
        where_problem(where, "must be an array of [wire, value] pairs");
        return;
    }
    law->words = need_memory((size_t)json_size(where->json), sizeof *law->words);
    for (struct where one = where_first(where); one.json; where_next(&one)) {
        struct law_word *word = &law->words[law->word_count++];

        if (!read_word(word, &one)) {
            where_problem(&one, "must be [wire, value]: a number or text, and true, false, a "
                                "number, \"-inf\", a word, or null for nothing");
            continue;
        }
        for (const struct law_word *other = law->words; other < word; other++)
            if (same_wire(word, other))
                where_problem(&one, "the same wire value stands twice");
    }
}

static void
take_factor(const struct field_given *given)
{
    struct law *law = given->into;

    law->factor = where_number(given->where);
    if (!(fabs(law->factor) <= LAW_WIRE_MOST) || law->factor == 0)
        where_problem(given->where, "must be a number other than 0");
}

static void
take_amplitude(const struct field_given *given)
{
    if (!json_bool(given->where->json))
        where_problem(given->where, "must be true");
}

static void
take_else(const struct field_given *given)
{
    struct law *law = given->into;

    if (!read_meaning(&law->otherwise, given->where))
        where_problem(given->where, "must be true, false, a number, \"-inf\", a word, or null for "
                                    "nothing");
}

/* ---- the schema ---- */

static struct json *
wire_schema(const char *help)
{
    return schema_number(-LAW_WIRE_MOST, LAW_WIRE_MOST, help);
}

static struct json *
points_schema(struct json *value, const char *help)
{
    return schema_list(schema_pair(wire_schema(NULL), value, "[wire, value]"), 2, help);
}

static struct json *
line_schema(const struct field *field)
{
    struct json *number = schema_number(-LAW_VALUE_MOST, LAW_VALUE_MOST, NULL);

    return points_schema(schema_either(number, schema_word("-inf", "off")), field->help);
}

static struct json *
ratio_schema(const struct field *field)
{
    struct json *above_zero = schema_number(0, LAW_VALUE_MOST, NULL);

    json_add_number(above_zero, "exclusiveMinimum", 0);
    return points_schema(above_zero, field->help);
}

/* A text, a switch, or a number up to `most`; null where that may be. */
static struct json *
plain_schema(double most, const char *null)
{
    struct json *schema = schema_of("type", json_words("string", "number", "boolean", null));

    json_add_number(schema, "minimum", -most);
    json_add_number(schema, "maximum", most);
    return schema;
}

static struct json *
words_schema(const struct field *field)
{
    return schema_list(schema_pair(plain_schema(LAW_WIRE_MOST, NULL),
                                   plain_schema(LAW_VALUE_MOST, "null"), "[wire, value]"),
                       1, field->help);
}

static struct json *
else_schema(const struct field *field)
{
    return schema_describe(plain_schema(LAW_VALUE_MOST, "null"), field->help);
}

static struct json *
factor_schema(const struct field *field)
{
    struct json *schema = wire_schema(field->help);

    json_add(schema, "not", schema_of("const", json_new_number(0)));
    return schema;
}

static struct json *
amplitude_schema(const struct field *field)
{
    return schema_describe(schema_of("const", json_new_bool(true)), field->help);
}

/* ---- the keys ---- */

/* In the order of enum law_kind. */
static const struct field law_fields[] = {
    {"line", FIELD_LIST, "straight lines through points, in order of wire", .take = take_points,
     .schema = line_schema},
    {"ratio", FIELD_LIST, "equal ratios between points, in order of wire", .take = take_points,
     .schema = ratio_schema},
    {"words", FIELD_LIST, "a table, alone or before one of the others", .take = take_words,
     .schema = words_schema},
    {"times", FIELD_NUMBER, "the wire value times this", .take = take_factor,
     .schema = factor_schema},
    {"amplitude", FIELD_SWITCH, "20 log10 of the wire value", .take = take_amplitude,
     .schema = amplitude_schema},
    {"else", FIELD_ANYTHING, "the value of all that is not in the table", .take = take_else,
     .schema = else_schema},
    {.help = "turns the wire value into dB, Hz, on or off, or a word"},
};

struct json *
law_schema(void)
{
    struct json *schema = schema_of_fields(law_fields);
    struct json *words = schema_of("required", json_words("words"));

    json_add_number(schema, "minProperties", 1);
    json_add_number(schema, "maxProperties", 2);
    json_add(schema, "if",
             schema_either(schema_of("minProperties", json_new_number(2)),
                           schema_of("required", json_words("else"))));
    json_add(schema, "then", words);
    return schema;
}

static void
read_rule(struct law *law, const struct where *rule)
{
    const struct field *row = fields_find(law_fields, rule->key);
    enum law_kind kind = row ? (enum law_kind)(LAW_LINE + (row - law_fields)) : LAW_NONE;

    if (!row)
        return;
    if (law->kind == LAW_NONE || kind != LAW_WORDS)
        law->kind = kind;
    field_read(&(struct field_given){row, rule, law, NULL});
}

void
law_read(struct law *law, const char *name, const struct where *where)
{
    int rules = json_size(where->json);
    bool table = json_get(where->json, "words");

    *law = (struct law){.name = need_text(name)};
    if (!fields_check_keys(law_fields, where))
        return;
    if (rules != 1 + table && rules != 1) {
        where_problem(where, "must hold one of line, ratio, words, times, amplitude, or words and "
                             "one of the others");
        return;
    }
    if (!table && json_get(where->json, "else"))
        where_problem(where, "\"else\" goes with \"words\" alone");
    for (struct where rule = where_first(where); rule.json; where_next(&rule))
        read_rule(law, &rule);
}

void
law_release(struct law *law)
{
    for (size_t i = 0; i < law->word_count; i++) {
        free(law->words[i].wire_text);
        free(law->words[i].word);
    }
    free(law->words);
    free(law->otherwise.word);
    free(law->points);
    free(law->name);
    *law = (struct law){0};
}

/* ---- binding ---- */

static void
copy_law(struct law *to, const struct law *from)
{
    *to = *from;
    to->name = need_text(from->name);
    to->otherwise.word = need_text(from->otherwise.word);
    to->points = NULL;
    to->words = NULL;
    if (from->points) {
        to->points = need_memory(from->count, sizeof *to->points);
        memcpy(to->points, from->points, from->count * sizeof *to->points);
    }
    if (from->words) {
        to->words = need_memory(from->word_count, sizeof *to->words);
        for (size_t i = 0; i < from->word_count; i++) {
            to->words[i] = from->words[i];
            to->words[i].wire_text = need_text(from->words[i].wire_text);
            to->words[i].word = need_text(from->words[i].word);
        }
    }
}

static bool
bind_word(struct law_word *word, enum param_id id, const struct where *where)
{
    if (!word->word && isnan(word->value)) /* it says nothing */
        return true;
    if (word->word && param_words(id)) {
        int found = param_word(id, word->word);

        if (found < 0) {
            where_problem(where, "\"%s\" is no word of %s", word->word, params[id].name);
            return false;
        }
        word->value = found;
    } else if (word->word || !param_accepts(id, word->value)) {
        where_problem(where, "%s%s%s is no value of %s, which is %s", word->word ? "\"" : "",
                      word->word ? word->word : "the table's value", word->word ? "\"" : "",
                      params[id].name, unit_name(params[id].unit));
        return false;
    }
    return true;
}

bool
law_bind(struct law *bound, const struct law *law, enum param_id id, const struct where *where)
{
    copy_law(bound, law);
    if (params[id].unit == UNIT_TEXT && law->kind != LAW_NONE) {
        where_problem(where, "%s is text and takes no law", params[id].name);
        return false;
    }
    if (params[id].unit == UNIT_WORD && law->kind != LAW_NONE && law->kind != LAW_WORDS &&
        law->kind != LAW_ELSE) {
        where_problem(where, "%s takes words; its law must be a \"words\" table", params[id].name);
        return false;
    }
    for (size_t i = 0; i < bound->word_count; i++)
        if (!bind_word(&bound->words[i], id, where))
            return false;
    return bound->kind != LAW_ELSE || bind_word(&bound->otherwise, id, where);
}
