/* SPDX-License-Identifier: MIT */
/* What a value of an answer says of the desk: its parameter, law, end stops and step, whether it is
 * an argument, a run of them, a blob or the one of an entry.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "profile/loader.h"

/* Without its parameter nothing else of a value is looked at. */
enum { TURN_BLOB, TURN_RUN, TURN_KINDS, TURN_IS, TURN_REST };

/* ---- parameters ---- */

static const char *
param_word_at(size_t i)
{
    return i < PARAMS ? params[i].name : NULL;
}

static const char *
param_at(const void *context, size_t i)
{
    (void)context;
    return param_word_at(i);
}

enum param_id
profile_param(const struct where *where)
{
    enum param_id id = param_find(where->key);

    if (id == PARAMS)
        where_unknown_key(where, "parameter", param_at, NULL, PARAMS);
    return id;
}

static const struct field_words is_words = {
    .word = param_word_at,
    .unknown = "unknown parameter",
    .nearest = true,
    .look = "`gainwarden explain parameters` lists them",
};

/* ---- a value ---- */

/* The words of a parameter come from a table. */
static void
need_law(const struct field_given *given)
{
    const struct element *element = given->into;
    struct where law = where_key(given->where, "law");

    if (!law.json && params[element->param].unit == UNIT_WORD)
        where_problem(&law,
                      "is missing: %s takes words, so a \"words\" table must say what the desk "
                      "sends for each",
                      params[element->param].name);
}

static const char *
law_name_at(const void *loader, size_t i)
{
    return ((const struct loader *)loader)->laws[i].name;
}

/* The law of that name, or NULL with a problem. */
static const struct law *
find_law(const struct loader *loader, const char *name, const struct where *where)
{
    char nearest[100];

    for (size_t i = 0; i < loader->law_count; i++)
        if (strcmp(loader->laws[i].name, name) == 0)
            return &loader->laws[i];
    where_problem(where, "no law \"%s\" under \"laws\"%s", name,
                  where_nearest(name, law_name_at, loader, loader->law_count, nearest));
    return NULL;
}

static void
take_law(const struct field_given *given)
{
    const struct where *where = given->where;
    struct element *element = given->into;
    const char *name = where_text(where);
    size_t before = where->problems->count;
    struct law own = {0};
    const struct law *law = &own;

    if (name)
        law = find_law(given->context, name, where);
    else
        law_read(&own, NULL, where);
    if (where->problems->count == before)
        law_bind(&element->law, law, element->param, where);
    law_release(&own);
}

static void
take_range(const struct field_given *given)
{
    struct element *element = given->into;
    struct where pair[2];
    bool good = where_pair(given->where, pair);
    struct travel range = {where_number(&pair[0]), where_number(&pair[1])};

    if (good && range.least < range.most && range.least >= -LAW_VALUE_MOST &&
        range.most <= LAW_VALUE_MOST)
        element->range = range;
    else
        where_problem(given->where, "must be [least, most], two rising numbers");
}

static void
take_each(const struct field_given *given)
{
    const struct loader *loader = given->context;
    struct element *element = given->into;
    const struct param *param = &params[element->param];
    const char *name = where_text(given->where);
    bool has_bands = param->column >= INDEX_INPUT_EQ_BAND;

    element->each = loader_index(name, has_bands ? param->column : INDEX_NONE);
    if (element->each == INDEX_NONE ||
        (element->each != param->row && element->each != param->column))
        where_problem(given->where, "%s has no index \"%s\" to run along", param->name, name);
    else if (loader->profile->counts.of[element->each] == 0)
        where_problem(given->where, "{%s} is used, but counts.%s is missing", name,
                      index_name(element->each));
}

/* "mix": 5 */
static void
take_only(const struct field_given *given)
{
    const struct loader *loader = given->context;
    struct element *element = given->into;
    const struct param *param = &params[element->param];
    const char *name = given->field->key;
    bool has_bands = param->column >= INDEX_INPUT_EQ_BAND;
    enum index_kind kind = loader_index(name, has_bands ? param->column : INDEX_NONE);
    int number;

    if (kind == INDEX_NONE || (kind != param->row && kind != param->column))
        where_problem(given->where, "%s has no index \"%s\"", param->name, name);
    else if (loader->profile->counts.of[kind] == 0)
        where_problem(given->where, "is given, but counts.%s is missing", index_name(kind));
    else if (where_take_whole(given->where, 1, loader->profile->counts.of[kind], &number))
        *(kind == param->row ? &element->only_row : &element->only_column) = number - 1;
}

static struct json *
law_or_name(const struct field *field)
{
    (void)field;
    return schema_either(schema_type("string", "the name of a law under \"laws\""),
                         schema_ref("law", NULL));
}

static struct json *
range_schema(const struct field *field)
{
    return schema_pair(schema_number(-LAW_VALUE_MOST, LAW_VALUE_MOST, NULL),
                       schema_number(-LAW_VALUE_MOST, LAW_VALUE_MOST, NULL), field->help);
}

/* The rules (a definition) say which law goes with which `is`, and which "each". */
static struct json *
rules_ref(const struct field *field)
{
    (void)field;
    return json_list(schema_ref("value.rules", NULL));
}

/* What every value has. */
#define VALUE_KEYS                                                                                 \
    {"is",                                                                                         \
     FIELD_WORD,                                                                                   \
     NULL,                                                                                         \
     FIELD_AT(struct element, param),                                                              \
     .need = FIELD_MUST,                                                                           \
     .turn = TURN_KINDS,                                                                           \
     .then = TURN_IS,                                                                              \
     .words = &is_words,                                                                           \
     .defined = "parameter"},                                                                      \
        {"words", FIELD_RULE, NULL, .turn = TURN_REST, .take = need_law},                          \
        {"law", FIELD_ANYTHING, NULL, .turn = TURN_REST, .take = take_law, .schema = law_or_name}, \
        {"range",                                                                                  \
         FIELD_LIST,                                                                               \
         "[least, most]: the end stops of the control, in its unit",                               \
         .loose = true,                                                                            \
         .turn = TURN_REST,                                                                        \
         .take = take_range,                                                                       \
         .schema = range_schema},                                                                  \
    {                                                                                              \
        "step", FIELD_ABOVE, "the control's smallest move, in its unit",                           \
            FIELD_AT(struct element, step), .loose = true, .turn = TURN_REST, .most = 20           \
    }
#define ONLY(index)                                                                                \
    {                                                                                              \
        index, FIELD_WHOLE, "it is of this " index " alone, by its number from 1",                 \
            .turn = TURN_KINDS, .then = TURN_REST, .least = 1, .most = COUNT_LIMIT,                \
            .take = take_only                                                                      \
    }
#define ONLY_KEYS ONLY("input"), ONLY("mix"), ONLY("group"), ONLY("band")
#define EACH                                                                                       \
    "each", FIELD_TEXT, NULL, .turn = TURN_KINDS, .then = TURN_REST, .take = take_each,            \
                              .defined = "each"

const struct field profile_value_fields[] = {
    VALUE_KEYS,
    ONLY_KEYS,
    {EACH},
    {"allOf", FIELD_RULE, NULL, .schema = rules_ref},
    {.help = "a value of the desk"},
};

/* ---- a blob of them ---- */

/* Each form, big-endian and little-endian, in the order of enum blob_form. */
static const struct field_words number_words = {
    .list = (const char *const[]){"int16be", "int16le", "int32be", "int32le", "float32be",
                                  "float32le", NULL},
    .unknown = "unknown numbers",
    .nearest = true,
    .look = "int16, int32 and float32, each with be or le",
};

static void
take_blob(const struct field_given *given)
{
    struct element *element = given->into;
    int word = field_find_word(&number_words, given->where);

    if (word < 0)
        return;
    element->blob = (enum blob_form)(BLOB_INT16 + word / 2);
    element->little_endian = word % 2 == 1;
}

static void
take_skip(const struct field_given *given)
{
    struct element *element = given->into;
    int bytes;

    if (where_take_whole(given->where, 0, (int)given->field->most, &bytes))
        element->skip = (size_t)bytes;
}

static void
need_each(const struct field_given *given)
{
    struct where each = where_key(given->where, "each");

    if (!each.json)
        where_problem(&each, "is missing: a blob is a run along one index");
}

const struct field profile_blob_fields[] = {
    {"blob", FIELD_WORD, "how each number is written", .need = FIELD_MUST, .then = TURN_RUN,
     .words = &number_words, .take = take_blob},
    {"skip", FIELD_WHOLE, "bytes before the first number", .then = TURN_RUN, .most = 1024,
     .preset = FIELD_PRESET(0), .take = take_skip},
    {"run", FIELD_RULE, NULL, .turn = TURN_RUN, .take = need_each},
    VALUE_KEYS,
    ONLY_KEYS,
    {EACH, .need = FIELD_TOLD},
    {"allOf", FIELD_RULE, NULL, .schema = rules_ref},
    {.help = "a blob of numbers along one index; the last argument"},
};

/* ---- the one of an entry ---- */

/* The address of an "at" entry holds the index. */
static struct json *
at_holds(const char *index)
{
    char pattern[60];

    snprintf(pattern, sizeof pattern, "\\{%s[:}]", index);
    return schema_of("properties", schema_of("at", schema_pattern(pattern, NULL)));
}

static struct json *
at_rules(const struct field *field)
{
    struct json *rules = rules_ref(field), *all = json_new_array();

    for (enum index_kind i = INDEX_INPUT; i <= INDEX_INPUT_EQ_BAND; i++) {
        const char *index = index_placeholder(i);

        json_add(
            rules, NULL,
            schema_if(schema_has("is", schema_ref("is", index)),
                      schema_of("anyOf", json_list(at_holds(index),
                                                   schema_has("each", schema_word(index, NULL)),
                                                   schema_has(index, json_new_object())))));
        json_add(all, NULL, at_holds(index));
    }
    json_add(rules, NULL, schema_of("not", schema_of("allOf", all))); /* ENTRY_VARIABLES */
    json_add(rules, NULL, schema_of("not", schema_spectra()));
    json_add(rules, NULL,
             schema_if(at_holds("band"),
                       schema_of("properties", schema_of("is", schema_ref("is", "band")))));
    return rules;
}

const struct field profile_at_fields[] = {
    {"at", FIELD_TEXT, NULL, .need = FIELD_MUST, .loose = true, .defined = "address"},
    VALUE_KEYS,
    ONLY_KEYS,
    {EACH},
    {ENTRY_FIRST},
    {ENTRY_UNTYPED, .pattern = "^[ifshd](?!\\n)$"},
    {"allOf", FIELD_RULE, NULL, .schema = at_rules},
    {.help = "asked without arguments; the answer comes from the same address, with one"},
};

/* ---- reading one ---- */

void
loader_read_value(struct loader *loader, const struct field *fields, struct element *element,
                  const struct where *where)
{
    element->kind = ELEMENT_VALUE;
    element->range = (struct travel){NAN, NAN};
    element->param = PARAMS;
    element->only_row = element->only_column = -1;
    for (int turn = TURN_BLOB; turn <= TURN_IS; turn++)
        fields_read_turn(fields, turn, where, element, loader);
    if (element->param != PARAMS)
        fields_read_turn(fields, TURN_REST, where, element, loader);
}
