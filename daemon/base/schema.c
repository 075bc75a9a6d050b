/* SPDX-License-Identifier: MIT */
#include "base/schema.h"

#include <stdio.h>

struct json *
schema_of(const char *keyword, struct json *value)
{
    struct json *schema = json_new_object();

    json_add(schema, keyword, value);
    return schema;
}

struct json *
schema_describe(struct json *schema, const char *help)
{
    if (help)
        json_add_string(schema, "description", help);
    return schema;
}

struct json *
schema_type(const char *type, const char *help)
{
    struct json *schema = schema_describe(json_new_object(), help);

    json_add_string(schema, "type", type);
    return schema;
}

static struct json *
limited(const char *type, double least, double most, const char *help)
{
    struct json *schema = schema_type(type, help);

    json_add_number(schema, "minimum", least);
    json_add_number(schema, "maximum", most);
    return schema;
}

struct json *
schema_number(double least, double most, const char *help)
{
    return limited("number", least, most, help);
}

struct json *
schema_whole(int least, int most, const char *help)
{
    return limited("integer", least, most, help);
}

struct json *
schema_pattern(const char *pattern, const char *help)
{
    struct json *schema = schema_type("string", help);

    json_add_string(schema, "pattern", pattern);
    return schema;
}

struct json *
schema_word(const char *word, const char *help)
{
    return schema_describe(schema_of("const", json_new_string(word)), help);
}

struct json *
schema_words(const char *const *words, const char *help)
{
    struct json *schema = schema_describe(json_new_object(), help);

    json_add(schema, "enum", json_words_of(words));
    return schema;
}

struct json *
schema_list(struct json *items, int least, const char *help)
{
    struct json *schema = schema_type("array", help);

    json_add(schema, "items", items);
    if (least > 0)
        json_add_number(schema, "minItems", least);
    return schema;
}

struct json *
schema_pair(struct json *one, struct json *other, const char *help)
{
    struct json *schema = schema_type("array", help);

    json_add(schema, "items", json_list(one, other));
    json_add_number(schema, "minItems", 2);
    json_add_number(schema, "maxItems", 2);
    return schema;
}

struct json *
schema_ref(const char *name, const char *index)
{
    struct json *schema = json_new_object();
    char place[80];

    snprintf(place, sizeof place, "#/definitions/%s%s%s", name, index ? "." : "",
             index ? index : "");
    json_add_string(schema, "$ref", place);
    return schema;
}

void
schema_define(struct json *definitions, const char *name, const char *index, struct json *schema)
{
    char key[80];

    snprintf(key, sizeof key, "%s%s%s", name, index ? "." : "", index ? index : "");
    json_add(definitions, key, schema);
}

struct json *
schema_either(struct json *one, struct json *other)
{
    return schema_of("anyOf", json_list(one, other));
}

struct json *
schema_if(struct json *condition, struct json *then)
{
    struct json *schema = schema_of("if", condition);

    json_add(schema, "then", then);
    return schema;
}

struct json *
schema_has(const char *key, struct json *schema)
{
    struct json *has = schema_type("object", NULL);

    json_add(has, "required", json_words(key));
    json_add(has, "properties", schema_of(key, schema));
    return has;
}

struct schema_keys
schema_keys(const char *help)
{
    struct schema_keys keys = {schema_type("object", help), json_new_object(), NULL};

    json_add_bool(keys.schema, "additionalProperties", false);
    json_add(keys.schema, "properties", keys.properties);
    return keys;
}

void
schema_may(struct schema_keys *keys, const char *key, struct json *schema)
{
    json_add(keys->properties, key, schema);
}

void
schema_must(struct schema_keys *keys, const char *key, struct json *schema)
{
    if (!keys->required)
        json_add(keys->schema, "required", keys->required = json_new_array());
    json_add_string(keys->required, NULL, key);
    schema_may(keys, key, schema);
}
