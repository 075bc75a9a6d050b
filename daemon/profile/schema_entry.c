/* SPDX-License-Identifier: MIT */
/* Entries in the schema of profiles, as profile/entry.c reads them. */
#include <stdio.h>
#include <string.h>

#include "profile/loader.h"
#include "profile/schema_parts.h"

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
    struct json *rules = json_new_array(), *all = json_new_array();

    (void)field;
    json_add(rules, NULL, schema_ref("value.rules", NULL));
    for (int i = 0; schema_placeholder(i); i++) {
        const char *index = schema_placeholder(i);

        json_add(rules, NULL,
                 schema_if(
                     schema_has("is", schema_ref("is", index)),
                     schema_either(at_holds(index), schema_has("each", schema_word(index, NULL)))));
        json_add(all, NULL, at_holds(index));
    }
    json_add(rules, NULL, schema_of("not", schema_of("allOf", all))); /* ENTRY_VARIABLES */
    json_add(rules, NULL,
             schema_if(at_holds("band"),
                       schema_of("properties", schema_of("is", schema_ref("is", "band")))));
    return rules;
}

#define FIRST "first", FIELD_WHOLE, "the number that the desk gives to the first", .most = 1
#define UNTYPED                                                                                    \
    "untyped", FIELD_TEXT,                                                                         \
        "the answer comes without a type-tag string; its arguments are read as these types, one "  \
        "letter each"

static struct json *
ref_of(const struct field *field)
{
    return schema_ref(strcmp(field->key, "at") == 0 ? "address" : field->key, NULL);
}

static const struct field at_keys[] = {
    {"at", FIELD_TEXT, NULL, .need = FIELD_MUST, .schema = ref_of},
    SCHEMA_VALUE_KEYS,
    {"each", FIELD_TEXT, NULL, .schema = ref_of},
    {FIRST},
    {UNTYPED, .pattern = "^[ifshd](?!\\n)$"},
    {"allOf", FIELD_RULE, NULL, .schema = at_rules},
    {0},
};

const struct fields profile_at_fields = {
    .help = "asked without arguments; the answer comes from the same address, with one",
    .rows = at_keys};

/* An index of the question comes back in the answer. */
static struct json *
ask_rules(const struct field *field)
{
    struct json *rules = json_new_array();

    (void)field;
    for (int i = 0; schema_placeholder(i); i++) {
        const char *index = schema_placeholder(i);

        json_add(rules, NULL,
                 schema_if(schema_has("ask", schema_ref("brings", index)),
                           schema_has("answer", schema_ref("brings", index))));
    }
    return rules;
}

static const struct field ask_keys[] = {
    {"ask", FIELD_LIST, NULL, .schema = ref_of},
    {"answer", FIELD_LIST, NULL, .need = FIELD_MUST, .schema = ref_of},
    {FIRST},
    {"this_only_asks", FIELD_SWITCH,
     "true: it carries more than indexes, or reaches an address that also answers, and is no move "
     "on this desk",
     .need = FIELD_MAY},
    {UNTYPED, .pattern = "^[ifshdb]+(?!\\n)$"},
    {"allOf", FIELD_RULE, NULL, .schema = ask_rules},
    {0},
};

const struct fields profile_ask_fields = {
    .help = "a question and its answer; without \"ask\" the desk sends it by itself",
    .rows = ask_keys};

/* Whoever names a parameter by band or group has counted these. */
static struct json *
count_rule(const char *index)
{
    struct json *uses =
        schema_either(schema_has("is", schema_ref("is", index)),
                      schema_has("answer", schema_of("contains", schema_ref("gives", index))));
    struct json *one = json_new_object();

    json_add_number(one, "minimum", 1);
    return schema_if(schema_has("values", schema_of("contains", uses)),
                     schema_has("counts", schema_has(index, one)));
}

struct json *
schema_profile_definitions(const struct field *field)
{
    struct json *definitions = json_new_object();
    struct json *entry = json_new_array();

    (void)field;
    json_add(entry, NULL, schema_of_fields(&profile_at_fields));
    json_add(entry, NULL, schema_of_fields(&profile_ask_fields));
    schema_define(definitions, "entry", NULL, schema_of("oneOf", entry));
    schema_define_messages(definitions);
    schema_define_values(definitions);
    return definitions;
}

struct json *
schema_profile_rules(const struct field *field)
{
    struct json *rules = json_new_array();

    (void)field;
    for (int kind = INDEX_GROUP; kind < INDEX_KINDS; kind++)
        json_add(rules, NULL, count_rule(index_name((enum index_kind)kind)));
    return rules;
}
