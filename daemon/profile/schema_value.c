/* SPDX-License-Identifier: MIT */
/* Parameters, their values and laws in the schema of profiles, as profile/value.c and profile/law.c
 * read them.
 */
#include <stdio.h>
#include <string.h>

#include "profile/loader.h"

/* ---- parameters ---- */

static struct json *
parameter_schema(void)
{
    struct json *list = json_new_array();
    char help[200];

    for (enum param_id i = 0; i < PARAMS; i++) {
        const struct param *param = &params[i];

        snprintf(help, sizeof help, "%s; %s, %s%s%s%s", param->help, unit_name(param->unit),
                 param->row == INDEX_NONE ? "one" : "by ", index_placeholder(param->row),
                 param->column == INDEX_NONE ? "" : " and ", index_placeholder(param->column));
        json_add(list, NULL, schema_word(param->name, help));
    }
    return schema_describe(schema_of("oneOf", list),
                           "what the value is; `gainwarden explain parameters` lists them all");
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

    for (enum param_id i = 0; i < PARAMS; i++)
        if (is_called(params[i].row, index) || is_called(params[i].column, index))
            json_add_string(list, NULL, params[i].name);
    return schema_of("enum", list);
}

/* ---- values ---- */

/* The words of the parameter, or "-inf" of a level. */
static void
add_words(struct json *list, enum param_id id)
{
    if (param_words(id))
        json_add(list, NULL, schema_words(param_words(id), NULL));
    else if (param_may_be_off(id))
        json_add(list, NULL, schema_of("enum", json_words("-inf")));
}

/* true and false are 1 and 0; a table may give them to any parameter that takes these. */
static void
add_switches(struct json *list, enum param_id id)
{
    for (int i = 0; i <= 1; i++)
        if (param_accepts(id, i))
            json_add(list, NULL, schema_of("const", json_new_bool(i == 1)));
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

/* Parameters with one set of values have the same rule. */
static bool
same_values(enum param_id one, enum param_id other)
{
    return params[one].unit == params[other].unit && params[one].least == params[other].least &&
           params[one].most == params[other].most && param_words(one) == param_words(other);
}

/* What a table may give such a parameter; null is nothing. */
static struct json *
table_values(enum param_id id)
{
    return schema_either(schema_param_values(id, true), schema_type("null", NULL));
}

/* The law of such a parameter, where it is written in place. */
static struct json *
law_rule(enum param_id id)
{
    static const char *const others[] = {"line", "ratio", "times", "amplitude", NULL};
    struct json *table, *keys, *rule;

    if (params[id].unit == UNIT_TEXT)
        return schema_of("properties", schema_of("law", json_new_bool(false)));
    table = schema_of("items", json_list(json_new_object(), table_values(id)));
    keys = schema_of("words", schema_of("items", table));
    json_add(keys, "else", table_values(id));
    for (size_t i = 0; params[id].unit == UNIT_WORD && others[i]; i++)
        json_add_bool(keys, others[i], false);
    rule = schema_of("properties", schema_of("law", schema_of("properties", keys)));
    if (params[id].unit == UNIT_WORD)
        json_add(rule, "required", json_words("law"));
    return rule;
}

static void
add_law_rules(struct json *rules)
{
    for (enum param_id i = 0; i < PARAMS; i++) {
        struct json *list;
        enum param_id first = 0;

        while (!same_values(first, i))
            first++;
        if (first < i)
            continue; /* has been told */
        list = json_new_array();
        for (enum param_id j = i; j < PARAMS; j++)
            if (same_values(i, j))
                json_add_string(list, NULL, params[j].name);
        json_add(rules, NULL, schema_if(schema_has("is", schema_of("enum", list)), law_rule(i)));
    }
}

struct json *
schema_spectra(void)
{
    struct json *list = json_new_array();

    for (enum param_id i = 0; i < PARAMS; i++)
        if (param_is_of_spectrum(i))
            json_add_string(list, NULL, params[i].name);
    return schema_has("is", schema_of("enum", list));
}

static struct json *
value_rules(void)
{
    struct json *rules = json_new_array();

    add_law_rules(rules);
    json_add(rules, NULL,
             schema_if(schema_spectra(), schema_has("each", schema_word("band", NULL))));
    for (enum index_kind i = INDEX_INPUT; i <= INDEX_INPUT_EQ_BAND; i++) {
        const char *index = index_placeholder(i);
        struct json *names = schema_either(schema_has("each", schema_word(index, NULL)),
                                           schema_has(index, json_new_object()));

        json_add(
            rules, NULL,
            schema_if(names, schema_of("properties", schema_of("is", schema_ref("is", index)))));
    }
    return schema_of("allOf", rules);
}

static struct json *
each_schema(void)
{
    const char *words[INDEX_KINDS] = {NULL};

    for (enum index_kind i = INDEX_INPUT; i <= INDEX_INPUT_EQ_BAND; i++)
        words[i - INDEX_INPUT] = index_placeholder(i);
    return schema_words(words, "a run of arguments along this index; the last argument");
}

void
schema_define_values(struct json *definitions)
{
    schema_define(definitions, "parameter", NULL, parameter_schema());
    for (enum index_kind kind = INDEX_INPUT; kind < INDEX_KINDS; kind++)
        schema_define(definitions, "is", index_name(kind), params_with(index_name(kind)));
    schema_define(definitions, "is", "band", params_with("band"));
    schema_define(definitions, "law", NULL, law_schema());
    schema_define(definitions, "each", NULL, each_schema());
    schema_define(definitions, "value.rules", NULL, value_rules());
}
