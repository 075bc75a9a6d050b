/* SPDX-License-Identifier: MIT */
/* Parameters, their values and laws in the schema of profiles, as law.c and profile/pattern.c read
 * them.
 */
#include <stdio.h>
#include <string.h>

#include "profile/loader.h"
#include "profile/schema_parts.h"

const char *
schema_placeholder(int number)
{
    /* every kind of band is called {band}, and they stand last */
    return number <= INDEX_INPUT_EQ_BAND - INDEX_INPUT
               ? index_placeholder((enum index_kind)(INDEX_INPUT + number))
               : NULL;
}

/* ---- parameters ---- */

static struct json *
parameter_schema(void)
{
    struct json *list = json_new_array();
    struct json *schema = schema_of("oneOf", list);
    char help[200];

    schema_describe(schema, "what the value is; `gainwarden explain parameters` lists them all");
    for (int i = 0; i < PARAMS; i++) {
        const struct param *param = &params[i];

        snprintf(help, sizeof help, "%s; %s, %s%s%s%s", param->help, unit_name(param->unit),
                 param->row == INDEX_NONE ? "one" : "by ", index_placeholder(param->row),
                 param->column == INDEX_NONE ? "" : " and ", index_placeholder(param->column));
        json_add(list, NULL, schema_word(param->name, help));
    }
    return schema;
}

static bool
is_called(enum index_kind kind, const char *index)
{
    return strcmp(index_name(kind), index) == 0 || strcmp(index_placeholder(kind), index) == 0;
}

static struct json *
params_with(const char *index)
{
    struct json *list = json_new_array();

    for (int i = 0; i < PARAMS; i++)
        if (is_called(params[i].row, index) || is_called(params[i].column, index))
            json_add_string(list, NULL, params[i].name);
    return schema_of("enum", list);
}

/* ---- values ---- */

/* The words of the parameter, or "-inf" of a level. */
static void
add_words(struct json *list, enum param_id id)
{
    static const char *const off[] = {"-inf", NULL};

    if (param_words(id))
        json_add(list, NULL, schema_words(param_words(id), NULL));
    else if (param_may_be_off(id))
        json_add(list, NULL, schema_words(off, NULL));
}

/* true and false are 1 and 0; a table may give them to any parameter that takes these. */
static void
add_switches(struct json *list, enum param_id id)
{
    for (int i = 0; i <= 1; i++) {
        struct json *one = json_new_object();

        json_add_bool(one, "const", i == 1);
        if (param_accepts(id, i))
            json_add(list, NULL, one);
        else
            json_free(one);
    }
}

struct json *
schema_param_values(enum param_id id, bool in_table)
{
    const struct param *param = &params[id];
    bool whole =
        param->unit == UNIT_INDEX || param->unit == UNIT_WORD || param->unit == UNIT_SWITCH;
    struct json *list = json_new_array();

    add_words(list, id);
    if (in_table || param->unit == UNIT_SWITCH)
        add_switches(list, id);
    json_add(list, NULL,
             whole ? schema_whole((int)param->least, (int)param->most, NULL)
                   : schema_number(param->least, param->most, NULL));
    return schema_of("anyOf", list);
}

/* ---- laws ---- */

static struct json *
number_or_off(void)
{
    return schema_either(schema_number(-LAW_VALUE_MOST, LAW_VALUE_MOST, NULL),
                         schema_word("-inf", "off"));
}

static struct json *
wire_number(const char *help)
{
    return schema_number(-LAW_WIRE_MOST, LAW_WIRE_MOST, help);
}

static struct json *
points_schema(struct json *value, const char *help)
{
    return schema_list(schema_pair(wire_number(NULL), value, "[wire, value]"), 2, help);
}

/* A text, a switch, or a number up to `most`. */
static struct json *
plain(double most)
{
    static const char *const types[] = {"string", "number", "boolean", NULL};
    struct json *list = json_new_array();

    for (const char *const *type = types; *type; type++)
        json_add_string(list, NULL, *type);
    list = schema_of("type", list);
    json_add_number(list, "minimum", -most);
    json_add_number(list, "maximum", most);
    return list;
}

static struct json *
line_schema(const struct field *field)
{
    return points_schema(number_or_off(), field->help);
}

static struct json *
ratio_schema(const struct field *field)
{
    struct json *above_zero = schema_number(0, LAW_VALUE_MOST, NULL);

    json_add_number(above_zero, "exclusiveMinimum", 0);
    return points_schema(above_zero, field->help);
}

static struct json *
words_schema(const struct field *field)
{
    return schema_list(schema_pair(plain(LAW_WIRE_MOST), plain(LAW_VALUE_MOST), "[wire, value]"), 1,
                       field->help);
}

static struct json *
factor_schema(const struct field *field)
{
    struct json *schema = wire_number(field->help);
    struct json *zero = json_new_object();

    json_add_number(zero, "const", 0);
    json_add(schema, "not", zero);
    return schema;
}

static struct json *
amplitude_schema(const struct field *field)
{
    struct json *amplitude = json_new_object();

    json_add_bool(amplitude, "const", true);
    schema_describe(amplitude, field->help);
    return amplitude;
}

/* In the order of enum law_kind. */
static const struct field law_keys[] = {
    {"line", FIELD_LIST, "straight lines through points, in order of wire", .schema = line_schema},
    {"ratio", FIELD_LIST, "equal ratios between points, in order of wire", .schema = ratio_schema},
    {"words", FIELD_LIST, "a table", .schema = words_schema},
    {"times", FIELD_NUMBER, "the wire value times this", .schema = factor_schema},
    {"amplitude", FIELD_SWITCH, "20 log10 of the wire value", .schema = amplitude_schema},
    {0},
};

const struct fields profile_law_fields = {
    .help = "turns the wire value into dB, Hz, on or off, or a word", .rows = law_keys};

static struct json *
law_schema(void)
{
    struct json *schema = schema_of_fields(&profile_law_fields);

    json_add_number(schema, "minProperties", 1);
    json_add_number(schema, "maxProperties", 1);
    return schema;
}

/* ---- a value of an argument ---- */

struct json *
schema_parameter_ref(const struct field *field)
{
    (void)field;
    return schema_ref("parameter", NULL);
}

struct json *
schema_value_law(const struct field *field)
{
    (void)field;
    return schema_either(schema_type("string", "the name of a law under \"laws\""),
                         schema_ref("law", NULL));
}

struct json *
schema_range(const struct field *field)
{
    return schema_pair(schema_number(-LAW_VALUE_MOST, LAW_VALUE_MOST, NULL),
                       schema_number(-LAW_VALUE_MOST, LAW_VALUE_MOST, NULL), field->help);
}

struct json *
schema_each_ref(const struct field *field)
{
    (void)field;
    return schema_ref("each", NULL);
}

/* Parameters with one set of values have the same rule. */
static bool
same_values(enum param_id one, enum param_id other)
{
    return params[one].unit == params[other].unit && params[one].least == params[other].least &&
           params[one].most == params[other].most && param_words(one) == param_words(other);
}

/* The law of such a parameter, where it is written in place. */
static struct json *
law_rule(enum param_id id)
{
    struct json *law = json_new_object();
    struct json *table, *pair;

    if (params[id].unit == UNIT_TEXT) {
        json_add_bool(law, "law", false);
        return schema_of("properties", law);
    }
    pair = json_new_array();
    json_add(pair, NULL, json_new_object());
    json_add(pair, NULL, schema_param_values(id, true));
    table = schema_of("items", schema_of("items", pair));
    if (params[id].unit == UNIT_WORD) {
        json_add(law, "law", schema_if(schema_type("object", NULL), schema_has("words", table)));
        table = schema_of("properties", law);
        pair = json_new_array();
        json_add_string(pair, NULL, "law");
        json_add(table, "required", pair);
        return table;
    }
    json_add(law, "law", schema_of("properties", schema_of("words", table)));
    return schema_of("properties", law);
}

static void
add_law_rules(struct json *rules)
{
    for (int i = 0; i < PARAMS; i++) {
        struct json *list;
        int first = 0;

        while (!same_values((enum param_id)first, (enum param_id)i))
            first++;
        if (first < i)
            continue; /* has been told */
        list = json_new_array();
        for (int j = i; j < PARAMS; j++)
            if (same_values((enum param_id)i, (enum param_id)j))
                json_add_string(list, NULL, params[j].name);
        json_add(rules, NULL,
                 schema_if(schema_has("is", schema_of("enum", list)), law_rule((enum param_id)i)));
    }
}

static struct json *
value_rules(void)
{
    struct json *rules = json_new_array();

    add_law_rules(rules);
    for (int i = 0; schema_placeholder(i); i++)
        json_add(rules, NULL,
                 schema_if(schema_has("each", schema_word(schema_placeholder(i), NULL)),
                           schema_of("properties",
                                     schema_of("is", schema_ref("is", schema_placeholder(i))))));
    return schema_of("allOf", rules);
}

static struct json *
each_schema(void)
{
    const char *words[INDEX_KINDS] = {NULL};

    for (int i = 0; schema_placeholder(i); i++)
        words[i] = schema_placeholder(i);
    return schema_words(words, "a run of arguments along this index; the last argument");
}

void
schema_define_values(struct json *definitions)
{
    schema_define(definitions, "parameter", NULL, parameter_schema());
    for (int kind = INDEX_INPUT; kind < INDEX_KINDS; kind++)
        schema_define(definitions, "is", index_name((enum index_kind)kind),
                      params_with(index_name((enum index_kind)kind)));
    schema_define(definitions, "is", "band", params_with("band"));
    schema_define(definitions, "law", NULL, law_schema());
    schema_define(definitions, "each", NULL, each_schema());
    schema_define(definitions, "value.rules", NULL, value_rules());
}
