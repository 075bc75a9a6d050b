/* SPDX-License-Identifier: MIT */
/* Addresses and arguments in the schema of profiles, as profile/pattern.c and profile/entry.c read
 * them.
 */
#include <stdio.h>
#include <string.h>

#include "core/text.h"
#include "profile/loader.h"

enum { ADDRESS_MOST = 200, WORDS_MOST = 64 }; /* bytes; the address and its arguments */

/* A lone $ lets some engines stop before a last line break. */
#define END "(?!\\n)$"
#define WIDTH "(:[0-9])?"

/* What looks like an {index}, whatever its name; no quote is in it. Letters beyond ASCII are left
 * out: the program counts their bytes. */
#define LIKE_INDEX "\\{[\\u0001-!#-+\\-.-9;-|~\\u007f]{1,19}" WIDTH "\\}"

/* Printable ASCII but # and what OSC patterns use; and but # and the brace, for questions. */
#define PLAIN "[!\"$-)+\\-.->@-Z\\\\^-z|~]"
#define WILD "[!\"$-z|-~]"

/* before(input|mix|...)after */
static const char *
pattern_of(char pattern[300], const char *before, const char *after)
{
    struct text text;

    text_init(&text, pattern, 300);
    text_add(&text, "%s", before);
    for (enum index_kind i = INDEX_INPUT; i <= INDEX_INPUT_EQ_BAND; i++)
        text_add(&text, "%s%s", i == INDEX_INPUT ? "(" : "|", index_placeholder(i));
    text_add(&text, ")%s", after);
    return pattern;
}

/* ---- addresses and texts ---- */

static struct json *
address_schema(const char *pattern, const char *help)
{
    struct json *schema = schema_pattern(pattern, help);

    json_add_number(schema, "maxLength", ADDRESS_MOST);
    return schema;
}

static struct json *
answer_address(void)
{
    char pattern[300];

    pattern_of(pattern, "^(?!/$)(" PLAIN "|\\{", WIDTH "\\})+" END);
    return address_schema(pattern, "an OSC address; {input} stands for each input in turn, "
                                   "{input:2} with two digits");
}

static struct json *
question_address(void)
{
    char pattern[300];

    pattern_of(pattern, "^(?!,|/$)(" WILD "|(?!" LIKE_INDEX ")\\{|\\{", WIDTH "\\})+" END);
    return address_schema(pattern, "the OSC address; it may hold an {index} and the pattern "
                                   "characters of OSC");
}

static struct json *
renewal_address(void)
{
    return address_schema("^(?!,|/$)(" WILD "|(?!" LIKE_INDEX ")\\{)+" END, "the OSC address");
}

static struct json *
text_argument(void)
{
    char pattern[300];

    pattern_of(pattern, "^([^{]|(?!" LIKE_INDEX ")\\{|\\{", WIDTH "\\})*" END);
    return schema_pattern(pattern, "an {index}, or text that may hold an {index}; * is a number of "
                                   "the question's own, in an answer anything");
}

static struct json *
label_schema(void)
{
    char pattern[300];

    pattern_of(pattern, "^([^{]|(?!" LIKE_INDEX ")\\{|\\{", WIDTH "\\})+" END);
    return schema_pattern(pattern, NULL);
}

/* ---- arguments ---- */

static struct json *
literal(bool switches)
{
    return schema_of("type", json_words("number", switches ? "boolean" : NULL));
}

/* A string that holds several fields. */
static struct json *
line_fields_schema(const struct field *field)
{
    struct json *list = json_list(literal(false), schema_ref("text", NULL),
                                  schema_ref("value", NULL), schema_ref("shared", NULL));

    return schema_list(schema_of("anyOf", list), 1, field->help);
}

const struct field profile_line_fields[] = {
    {"text", FIELD_TEXT,
     "the character that parts the fields; a blank stands for any run of blanks",
     .need = FIELD_MUST, .pattern = "^[\t !#-~]" END},
    {"fields", FIELD_LIST, "as in an answer", .need = FIELD_MUST, .schema = line_fields_schema},
    {.help = "one text that holds several fields"},
};

/* What stands under a label. */
static struct json *
labels_schema(const struct field *field)
{
    struct json *schema = schema_type("object", field->help);
    struct json *list = json_list(literal(true), schema_ref("text", NULL),
                                  schema_ref("value", NULL), schema_ref("shared", NULL));
    struct json *one = schema_of("anyOf", list);

    if (strcmp(field->key, "labels") == 0)
        json_add(one, "not", schema_has("each", json_new_object()));
    json_add(schema, "additionalProperties", one);
    json_add_number(schema, "minProperties", 1);
    json_add(schema, "propertyNames", label_schema());
    return schema;
}

const struct field profile_label_fields[] = {
    {"text", FIELD_TEXT, "the character that parts the fields", .need = FIELD_MUST,
     .pattern = "^[\t !#-~]" END},
    {"label", FIELD_TEXT, "the character between a label and its value", .need = FIELD_MUST,
     .pattern = "^[\t !#-~]" END},
    {"labels", FIELD_BY_NAME, "what each field is, by its label", .need = FIELD_MUST,
     .schema = labels_schema},
    {.help = "one text that holds fields with labels"},
};

const struct field profile_json_fields[] = {
    {"json", FIELD_BY_NAME, "what each leaf is, by its path", .need = FIELD_MUST,
     .schema = labels_schema},
    {.help = "one text that holds JSON"},
};

/* Values of one argument; none is a run. */
static struct json *
shared_schema(void)
{
    struct json *value =
        json_list(schema_ref("value", NULL),
                  schema_of("properties", schema_of("each", json_new_bool(false))));

    return schema_list(schema_of("allOf", value), 2, "several values that one argument says");
}

static struct json *
argument_schema(bool answer)
{
    static const char *const answers[] = {"value",     "shared", "fields", "labels",
                                          "json.text", "blob",   NULL};
    struct json *list = json_list(literal(true), schema_ref("text", NULL));

    for (const char *const *name = answers; answer && *name; name++)
        json_add(list, NULL, schema_ref(*name, NULL));
    return schema_of("anyOf", list);
}

/* ---- messages ---- */

/* [address, argument, ...] */
static struct json *
message_schema(struct json *address, struct json *argument, const char *help)
{
    struct json *schema = schema_type("array", help);

    json_add(schema, "items", json_list(address));
    json_add(schema, "additionalItems", argument);
    json_add_number(schema, "minItems", 1);
    json_add_number(schema, "maxItems", WORDS_MOST);
    return schema;
}

static struct json *
renewal_schema(void)
{
    struct json *text = schema_pattern("^([^{]|(?!" LIKE_INDEX ")\\{)*" END, "text as it is");

    return message_schema(renewal_address(), schema_either(literal(true), text),
                          "the message: its address, then arguments");
}

/* An array with such an element. */
static struct json *
array_with(struct json *element)
{
    struct json *array = schema_type("array", NULL);

    json_add(array, "contains", element);
    return array;
}

/* Such an argument or field, or one that several such share. */
static struct json *
alone_or_shared(const struct json *one)
{
    return schema_either(json_copy(one), array_with(json_copy(one)));
}

/* An object with such a member, under whatever key. */
static struct json *
object_with(struct json *member)
{
    struct json *object = schema_type("object", NULL);

    json_add(object, "not", schema_of("additionalProperties", schema_of("not", member)));
    return object;
}

/* Such an argument, or a text with such a field. */
static struct json *
argument_or_field(struct json *one)
{
    struct json *list =
        json_list(alone_or_shared(one), schema_has("fields", array_with(alone_or_shared(one))),
                  schema_has("labels", object_with(alone_or_shared(one))),
                  schema_has("json", object_with(alone_or_shared(one))));

    json_free(one);
    return schema_of("anyOf", list);
}

/* A text with such a label. */
static struct json *
has_label(const char *pattern)
{
    struct json *either = json_new_array();

    for (int i = 0; i < 2; i++) {
        struct json *object = schema_type("object", NULL);
        struct json *none = schema_of("not", schema_pattern(pattern, NULL));

        json_add(object, "not", schema_of("propertyNames", none));
        json_add(either, NULL, schema_has(i == 0 ? "labels" : "json", object));
    }
    return schema_of("anyOf", either);
}

/* A value that needs the index from elsewhere: it is no run along it. */
static struct json *
needs(const char *index)
{
    struct json *value = schema_has("is", schema_ref("is", index));

    json_add(value, "not",
             schema_either(schema_has("each", schema_word(index, NULL)),
                           schema_has(index, json_new_object())));
    return value;
}

/* The index stands in the address, in an argument, or in a field. */
static struct json *
brings_schema(const char *index)
{
    char within[60];

    snprintf(within, sizeof within, "\\{%s" WIDTH "\\}", index);
    return schema_of("contains", schema_either(argument_or_field(schema_pattern(within, NULL)),
                                               has_label(within)));
}

static void
add_index_rules(struct json *rules)
{
    struct json *all = json_new_array();

    for (enum index_kind i = INDEX_INPUT; i <= INDEX_INPUT_EQ_BAND; i++)
        json_add(all, NULL, schema_ref("brings", index_placeholder(i)));
    json_add(rules, NULL, schema_of("not", schema_of("allOf", all))); /* ENTRY_VARIABLES */
}

static void
add_band_rules(struct json *rules)
{
    json_add(rules, NULL,
             schema_if(schema_ref("brings", "band"),
                       schema_of("contains", schema_ref("gives", "band"))));
    for (enum index_kind one = INDEX_INPUT_EQ_BAND; one < INDEX_KINDS; one++)
        for (enum index_kind other = one + 1; other < INDEX_KINDS; other++) {
            struct json *both =
                json_list(schema_of("contains", schema_ref("gives", index_name(one))),
                          schema_of("contains", schema_ref("gives", index_name(other))));

            json_add(rules, NULL, schema_of("not", schema_of("allOf", both)));
        }
}

static struct json *
answer_schema(void)
{
    struct json *schema = message_schema(schema_ref("address", NULL), argument_schema(true),
                                         "the answer: its address, then arguments");
    struct json *rules = json_new_array();

    json_add(rules, NULL,
             schema_of("contains", argument_or_field(schema_has("is", json_new_object()))));
    add_index_rules(rules);
    add_band_rules(rules);
    json_add(schema, "allOf", rules);
    return schema;
}

static struct json *
gives_schema(const char *index)
{
    return argument_or_field(schema_has("is", schema_ref("is", index)));
}

void
schema_define_messages(struct json *definitions)
{
    schema_define(definitions, "address", NULL, answer_address());
    schema_define(definitions, "text", NULL, text_argument());
    schema_define(definitions, "value", NULL, schema_of_fields(profile_value_fields));
    schema_define(definitions, "shared", NULL, shared_schema());
    schema_define(definitions, "fields", NULL, schema_of_fields(profile_line_fields));
    schema_define(definitions, "labels", NULL, schema_of_fields(profile_label_fields));
    schema_define(definitions, "json.text", NULL, schema_of_fields(profile_json_fields));
    schema_define(definitions, "blob", NULL, schema_of_fields(profile_blob_fields));
    schema_define(definitions, "ask", NULL,
                  message_schema(question_address(), argument_schema(false),
                                 "the question: its address, then arguments"));
    schema_define(definitions, "answer", NULL, answer_schema());
    schema_define(definitions, "renewal", NULL, renewal_schema());
    for (enum index_kind i = INDEX_INPUT; i <= INDEX_INPUT_EQ_BAND; i++) {
        const char *index = index_placeholder(i);

        schema_define(definitions, "brings", index, brings_schema(index));
        schema_define(definitions, "needs", index,
                      schema_of("contains", argument_or_field(needs(index))));
    }
    schema_define(definitions, "brings", "echo",
                  schema_of("contains", argument_or_field(schema_word("*", NULL))));
    for (enum index_kind kind = INDEX_GROUP; kind < INDEX_KINDS; kind++)
        schema_define(definitions, "gives", index_name(kind), gives_schema(index_name(kind)));
    schema_define(definitions, "gives", "band", gives_schema("band"));
}
