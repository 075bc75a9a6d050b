/* The schema of profiles, as profile/load.c and profile/entry.c read them. */
#include <stdio.h>

#include "profile/profile.h"
#include "schema/parts.h"

/* ---- the keys of the file ---- */

static struct json *
port_schema(const char *help)
{
    return schema_whole(1, 65535, help);
}

static struct json *
type_tags_schema(void)
{
    return schema_preset_switch(
        schema_type("boolean", "false: questions are sent without a type-tag string"), true);
}

static struct json *
udp_schema(void)
{
    static const char *const from[] = {"same-port", "any-port", NULL};
    struct schema_keys keys = schema_keys("UDP");

    schema_must(&keys, "transport", schema_word("udp", "datagrams"));
    schema_must(&keys, "port", port_schema("where the desk listens"));
    schema_may(&keys, "answers_from",
               schema_preset_word(
                   schema_words(from, "any-port: answers may come from any port of the desk's "
                                      "address"),
                   from[0]));
    schema_may(&keys, "answer_port",
               port_schema("our own port, for a desk that always answers to a fixed one"));
    schema_may(&keys, "type_tags", type_tags_schema());
    return keys.schema;
}

static struct json *
tcp_schema(void)
{
    static const char *const framing[] = {"size", "slip", NULL};
    struct schema_keys keys = schema_keys("TCP");

    schema_must(&keys, "transport", schema_word("tcp", "a stream"));
    schema_must(&keys, "framing",
                schema_words(framing, "size: an int32 with the size stands before each packet; "
                                      "slip: SLIP with END at both ends"));
    schema_must(&keys, "port", port_schema("where the desk listens"));
    schema_may(&keys, "type_tags", type_tags_schema());
    return keys.schema;
}

static struct json *
link_schema(void)
{
    struct json *list = json_new_array();
    struct json *schema = schema_of("oneOf", list);

    schema_describe(schema, "how the desk is reached");
    json_add(list, NULL, udp_schema());
    json_add(list, NULL, tcp_schema());
    return schema;
}

static struct json *
pace_schema(void)
{
    const struct pace *presets = &pace_presets;
    struct schema_keys keys = schema_keys("how fast the desk is asked");
    const struct {
        const char *key;
        struct json *schema;
        double preset;
    } rows[] = {
        {"in_flight", schema_whole(1, 4096, "questions under way at a time, at most"),
         presets->in_flight},
        {"per_second", schema_above_zero(1000000, "questions a second, at most"),
         presets->per_second},
        {"answer_within_ms", schema_whole(1, 10000, "a question is put again after this time"),
         presets->answer_within_ms},
        {"tries", schema_whole(1, 20, "how often a question is put, at most"), presets->tries},
        {"reread_every_s",
         schema_above_zero(3600, "in the watch: how often the whole desk is read again"),
         presets->reread_every_s},
        {"stale_after_s",
         schema_above_zero(86400, "an older value is stale; longer than reread_every_s, and three "
                                  "times as long when it is not given"),
         presets->stale_after_s},
    };

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        schema_may(&keys, rows[i].key, schema_preset(rows[i].schema, rows[i].preset));
    return keys.schema;
}

static struct json *
filters_schema(void)
{
    static const char *const widths[] = {"q", "octaves", NULL};
    struct schema_keys keys = schema_keys("how the desk's equalisers compute");

    schema_may(
        &keys, "rate_hz",
        schema_preset(schema_number(32000, 400000, "the desk's sample rate"), RATE_PRESET_HZ));
    schema_may(
        &keys, "width",
        schema_preset_word(schema_words(widths, "what a band's q is: a Q, or octaves between the "
                                                "half-gain points"),
                           widths[0]));
    return keys.schema;
}

static struct json *
renew_schema(void)
{
    struct schema_keys keys = schema_keys(NULL);

    schema_must(&keys, "send", schema_ref("renewal", NULL));
    schema_must(&keys, "every_s", schema_number(RENEWAL_LEAST_S, 3600, "how often it is sent"));
    schema_may(&keys, "this_only_asks",
               schema_type("boolean", "true: it carries more than an address, or reaches one that "
                                      "answers, and is no move on this desk"));
    return schema_list(keys.schema, 0,
                       "messages the desk wants every so often to keep sending changes");
}

static struct json *
counts_schema(void)
{
    struct schema_keys keys = schema_keys("how many the desk has of each");

    for (int kind = INDEX_INPUT; kind < INDEX_KINDS; kind++) {
        const char *name = index_name((enum index_kind)kind);
        bool must = kind <= INDEX_MIX;
        int most = kind < INDEX_INPUT_EQ_BAND ? COUNT_LIMIT : BAND_LIMIT;
        char help[80];

        snprintf(help, sizeof help, "how many there are; {%s} stands for each",
                 index_placeholder((enum index_kind)kind));
        (must ? schema_must : schema_may)(&keys, name, schema_whole(must, most, help));
    }
    return keys.schema;
}

static struct json *
first_schema(void)
{
    struct schema_keys keys = schema_keys("the number that the desk gives to the first of each");

    for (int kind = INDEX_INPUT; kind < INDEX_KINDS; kind++)
        schema_may(&keys, index_name((enum index_kind)kind),
                   schema_preset(schema_whole(0, 1, NULL), 1));
    return keys.schema;
}

static struct json *
laws_schema(void)
{
    struct json *schema = schema_type("object", "laws by a name of your own");

    json_add(schema, "additionalProperties", schema_ref("law", NULL));
    return schema;
}

static struct json *
fixed_schema(void)
{
    struct schema_keys keys = schema_keys("what the desk does not publish but you know");

    for (int i = 0; i < PARAMS; i++) {
        struct json *schema;

        if (params[i].unit == UNIT_TEXT)
            continue;
        schema = schema_param_values((enum param_id)i, false);
        schema_describe(schema, params[i].help);
        schema_may(&keys, params[i].name, schema);
    }
    return keys.schema;
}

/* ---- entries ---- */

static struct json *
untyped_schema(const char *pattern)
{
    return schema_pattern(pattern, "the answer comes without a type-tag string; its arguments are "
                                   "read as these types, one letter each");
}

/* The address of an "at" entry holds the index. */
static struct json *
at_holds(const char *index)
{
    char pattern[60];

    snprintf(pattern, sizeof pattern, "\\{%s[:}]", index);
    return schema_of("properties", schema_of("at", schema_pattern(pattern, NULL)));
}

static void
add_at_rules(struct json *rules)
{
    struct json *all = json_new_array();

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
}

static struct json *
at_schema(void)
{
    struct schema_keys keys =
        schema_keys("asked without arguments; the answer comes from the same address, with one");
    struct json *rules = json_new_array();

    schema_must(&keys, "at", schema_ref("address", NULL));
    schema_value_keys(&keys);
    schema_may(&keys, "each", schema_ref("each", NULL));
    schema_may(&keys, "first", schema_whole(0, 1, "the number that the desk gives to the first"));
    schema_may(&keys, "untyped", untyped_schema("^[ifshd](?!\\n)$"));
    json_add(rules, NULL, schema_ref("value.rules", NULL));
    add_at_rules(rules);
    json_add(keys.schema, "allOf", rules);
    return keys.schema;
}

/* An index of the question comes back in the answer. */
static struct json *
ask_rules(void)
{
    struct json *rules = json_new_array();

    for (int i = 0; schema_placeholder(i); i++) {
        const char *index = schema_placeholder(i);

        json_add(rules, NULL,
                 schema_if(schema_has("ask", schema_ref("brings", index)),
                           schema_has("answer", schema_ref("brings", index))));
    }
    return rules;
}

static struct json *
ask_schema(void)
{
    struct schema_keys keys =
        schema_keys("a question and its answer; without \"ask\" the desk sends it by itself");

    schema_may(&keys, "ask", schema_ref("ask", NULL));
    schema_must(&keys, "answer", schema_ref("answer", NULL));
    schema_may(&keys, "first", schema_whole(0, 1, "the number that the desk gives to the first"));
    schema_may(&keys, "this_only_asks",
               schema_type("boolean", "true: it carries more than indexes, or reaches an address "
                                      "that also answers, and is no move on this desk"));
    schema_may(&keys, "untyped", untyped_schema("^[ifshdb]+(?!\\n)$"));
    json_add(keys.schema, "allOf", ask_rules());
    return keys.schema;
}

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

static struct json *
definitions_of(void)
{
    struct json *definitions = json_new_object();
    struct json *entry = json_new_array();

    json_add(entry, NULL, at_schema());
    json_add(entry, NULL, ask_schema());
    schema_define(definitions, "entry", NULL, schema_of("oneOf", entry));
    schema_define_messages(definitions);
    schema_define_values(definitions);
    return definitions;
}

static struct schema_keys
root_keys(void)
{
    static const struct field rows[] = {FIELD_EDITORS, FIELD_FILE_FORMAT("profile_format", 1), {0}};
    static const struct fields fields = {
        .title = "gainwarden profile", .help = "how one desk speaks OSC", .rows = rows};
    struct json *schema = schema_of_fields(&fields);

    return (struct schema_keys){schema, json_get_mutable(schema, "properties"),
                                json_get_mutable(schema, "required")};
}

struct json *
schema_profile(void)
{
    struct schema_keys root = root_keys();
    struct json *rules = json_new_array();

    schema_must(&root, "desk", schema_type("string", "what you call the desk"));
    schema_must(&root, "link", link_schema());
    schema_may(&root, "pace", pace_schema());
    schema_may(&root, "renew", renew_schema());
    schema_must(&root, "counts", counts_schema());
    schema_may(&root, "first", first_schema());
    schema_may(&root, "laws", laws_schema());
    schema_may(&root, "filters", filters_schema());
    schema_must(&root, "values",
                schema_list(schema_ref("entry", NULL), 1, "what can be asked of the desk"));
    schema_may(&root, "fixed", fixed_schema());
    for (int kind = INDEX_GROUP; kind < INDEX_KINDS; kind++)
        json_add(rules, NULL, count_rule(index_name((enum index_kind)kind)));
    json_add(root.schema, "allOf", rules);
    json_add(root.schema, "definitions", definitions_of());
    return root.schema;
}
