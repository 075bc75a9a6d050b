/* SPDX-License-Identifier: MIT */
#include "base/schema.h"

/* Key of an object by number: from 1, of three digits. */
#define NUMBER_KEY "^0*[1-9][0-9]{0,2}(?!\\n)$"

/* ---- kinds ---- */

static struct json *
format_schema(const struct field *field)
{
    return schema_describe(schema_of("const", json_new_number(field->least)), field->help);
}

/* A schema counts characters, the program bytes: the schema is the milder one. */
static struct json *
text_schema(const struct field *field)
{
    struct json *schema = schema_type("string", field->help);
    double most = field->kind == FIELD_NAME || field->kind == FIELD_COPY ? (double)field->size - 1
                                                                         : field->most;

    if (field->pattern)
        json_add_string(schema, "pattern", field->pattern);
    if (most > 0)
        json_add_number(schema, "maxLength", most);
    if (field->least > 0)
        json_add_number(schema, "minLength", field->least);
    return schema;
}

static struct json *
number_schema(const struct field *field)
{
    if (field->kind == FIELD_ABOVE) {
        struct json *schema = schema_type("number", field->help);

        json_add_number(schema, "exclusiveMinimum", 0);
        json_add_number(schema, "maximum", field->most);
        return schema;
    }
    if (field->kind == FIELD_WHOLE)
        return schema_whole((int)field->least, (int)field->most, field->help);
    if (field->least == field->most)
        return schema_type("number", field->help);
    return schema_number(field->least, field->most, field->help);
}

static struct json *
switch_schema(const struct field *field)
{
    return schema_type("boolean", field->help);
}

/* Words that need help are told one by one. */
static struct json *
words_schema(const struct field *field)
{
    const struct field_words *words = field->words;
    struct json *list = json_new_array(), *schema = json_new_object();
    char help[200];

    if (!words->help)
        schema_describe(schema, field->help);
    for (size_t i = 0; field_word(words, i); i++)
        json_add(list, NULL,
                 words->help ? schema_word(field_word(words, i), words->help(i, help))
                             : json_new_string(field_word(words, i)));
    json_add(schema, words->help ? "oneOf" : "enum", list);
    if (words->help)
        schema_describe(schema, field->help);
    return schema;
}

/* Of what it holds: NULL when that is anything. */
static struct json *
held_schema(const struct field *field)
{
    if (field->holds)
        return schema_ref(field->holds, NULL);
    return field->object ? schema_of_fields(field->object) : NULL;
}

static struct json *
list_schema(const struct field *field)
{
    struct json *held = held_schema(field);
    struct json *schema =
        schema_list(held ? held : json_new_object(), (int)field->least, field->help);

    if (field->most > 0)
        json_add_number(schema, "maxItems", field->most);
    return schema;
}

static struct json *
numbered_schema(const struct field *field)
{
    struct json *schema = schema_type("object", field->help);

    json_add_bool(schema, "additionalProperties", false);
    json_add(schema, "patternProperties", schema_of(NUMBER_KEY, held_schema(field)));
    return schema;
}

static struct json *
by_name_schema(const struct field *field)
{
    struct json *schema = schema_type("object", field->help), *held = held_schema(field);

    if (held)
        json_add(schema, "additionalProperties", held);
    return schema;
}

static struct json *
anything_schema(const struct field *field)
{
    return schema_describe(json_new_object(), field->help);
}

static struct json *(*const makers[FIELD_KINDS])(const struct field *field) = {
    [FIELD_FORMAT] = format_schema,   [FIELD_TEXT] = text_schema,
    [FIELD_SPELT] = text_schema,      [FIELD_NAME] = text_schema,
    [FIELD_COPY] = text_schema,       [FIELD_NUMBER] = number_schema,
    [FIELD_ABOVE] = number_schema,    [FIELD_WHOLE] = number_schema,
    [FIELD_SWITCH] = switch_schema,   [FIELD_WORD] = words_schema,
    [FIELD_CHOICE] = words_schema,    [FIELD_OBJECT] = held_schema,
    [FIELD_LIST] = list_schema,       [FIELD_NUMBERED] = numbered_schema,
    [FIELD_BY_NAME] = by_name_schema, [FIELD_ANYTHING] = anything_schema,
};

/* ---- the walk ---- */

/* What stands in for a key that is not given, for editors and the man pages' test. */
static void
add_preset(struct json *schema, const struct field *field)
{
    static const char key[] = "default";

    if (field->preset_text)
        json_add_string(schema, key, field->preset_text);
    else if (field->preset && field->words)
        json_add_string(
            schema, key,
            field_word(field->words, (size_t)((int)*field->preset - field->words->first)));
    else if (field->preset && field->kind == FIELD_SWITCH)
        json_add_bool(schema, key, *field->preset != 0);
    else if (field->preset)
        json_add_number(schema, key, *field->preset);
}

static struct json *
schema_of_field(const struct field *field)
{
    struct json *schema = field->schema    ? field->schema(field)
                          : field->defined ? schema_ref(field->defined, NULL)
                                           : makers[field->kind](field);

    add_preset(schema, field);
    return schema;
}

static struct schema_keys
root_keys(const struct field *last)
{
    struct schema_keys root = {json_new_object(), json_new_object(), NULL};

    json_add_string(root.schema, "$schema", "http://json-schema.org/draft-07/schema#");
    json_add_string(root.schema, "title", last->title);
    schema_describe(root.schema, last->help);
    json_add_string(root.schema, "type", "object");
    json_add_bool(root.schema, "additionalProperties", false);
    json_add(root.schema, "properties", root.properties);
    return root;
}

struct json *
schema_of_fields(const struct field *fields)
{
    const struct field *last = fields_last(fields);
    struct schema_keys keys = last->title ? root_keys(last) : schema_keys(last->help);

    for (const struct field *row = fields; row->key; row++)
        if (row->kind != FIELD_RULE)
            (row->need == FIELD_MAY ? schema_may : schema_must)(&keys, row->key,
                                                                schema_of_field(row));
    for (const struct field *row = fields; row->key; row++)
        if (row->kind == FIELD_RULE && row->schema)
            json_add(keys.schema, row->key, row->schema(row));
    return keys.schema;
}
