/* SPDX-License-Identifier: MIT */
/* The walker over tables of keys: what it fills, what it says and in which order, and the schema of
 * the same rows. */
#include "unit.h"

#include <stdlib.h>
#include <string.h>

#include "base/schema.h"

/* ---- a lamp, with a row of most kinds ---- */

struct bulb {
    double watts;
    int count;
};

struct lamp {
    char *maker;
    char name[8];
    struct bulb bulb;
    int colour;
    bool hangs, off;
    struct json *notes;
    int height_mm;
};

static const struct field_words colour_words = {
    .list = (const char *const[]){"red", "green", "blue", NULL}, .first = 5, .nearest = true};
static const struct field_words hangs_words = {
    .list = (const char *const[]){"stands", "hangs", NULL}, .quoted = true};

static void
take_height(const struct field_given *given)
{
    const int *unit_mm = given->context;

    *(int *)field_place(given) = atoi(where_text(given->where)) * *unit_mm;
}

static void
check_name(const struct field_given *given)
{
    if (json_get(given->where->json, "name") && json_get(given->where->json, "maker"))
        where_problem(given->where, "has both");
}

static struct json *
name_schema(const struct field *field)
{
    (void)field;
    return json_new_array();
}

static const struct field bulb_fields[] = {
    {"watts", FIELD_ABOVE, "how bright", FIELD_AT(struct bulb, watts), .most = 100,
     .preset = FIELD_PRESET(60)},
    {"count", FIELD_WHOLE, "how many", FIELD_AT(struct bulb, count), .need = FIELD_GATE, .least = 1,
     .most = 4},
    {"shade", FIELD_NUMBER, NULL, .least = 0.5, .most = 2, .what = "a size", .unit = "m"},
    {.help = "the bulb"},
};

static const struct field lamp_fields[] = {
    FIELD_EDITORS,
    FIELD_FILE_FORMAT("lamp_format", 1),
    {"maker", FIELD_TEXT, "who made it", FIELD_AT(struct lamp, maker), .preset_text = "us"},
    {"name", FIELD_NAME, "its name", FIELD_AT(struct lamp, name), .least = 1, .then = 2},
    {"bulb", FIELD_OBJECT, NULL, FIELD_AT(struct lamp, bulb), .object = bulb_fields},
    {"colour", FIELD_WORD, "its colour", FIELD_AT(struct lamp, colour), .words = &colour_words,
     .preset = FIELD_PRESET(6), .turn = 3},
    {"hangs", FIELD_CHOICE, "where it is", FIELD_AT(struct lamp, hangs), .words = &hangs_words,
     .preset = FIELD_PRESET(0)},
    {"on", FIELD_SWITCH, "whether it shines", FIELD_AT(struct lamp, off),
     .preset = FIELD_PRESET(1)},
    {"notes", FIELD_ANYTHING, "what you like", FIELD_AT(struct lamp, notes)},
    {"height", FIELD_SPELT, "how high", FIELD_AT(struct lamp, height_mm), .turn = FIELD_TURNS,
     .take = take_height},
    {"oneOf", FIELD_RULE, NULL, .turn = 1, .take = check_name, .schema = name_schema},
    {.title = "lamp", .help = "one lamp"},
};

static const struct lamp nothing;

static struct json *
parsed(const char *text)
{
    struct problems problems = {0};
    struct json *json;

    json = json_parse(text, strlen(text), "f", &problems);
    assert_non_null(json);
    problems_release(&problems);
    return json;
}

/* Reads the text into the lamp; wants exactly these problems, one a line. */
static void
read_lamp(struct lamp *lamp, const char *text, const char *wanted)
{
    struct json *json = parsed(text);
    struct problems problems = {0};
    struct where where = where_file("f", json, &problems);
    char told[1000] = "";

    *lamp = nothing;
    fields_preset(lamp_fields, lamp);
    fields_read(lamp_fields, &where, lamp, NULL);
    for (size_t i = 0; i < problems.count; i++) {
        strcat(told, problems.lines[i]);
        strcat(told, "\n");
    }
    assert_string_equal(told, wanted);
    problems_release(&problems);
    json_free(json);
}

/* ---- reading ---- */

static void
presets_stand_where_nothing_is_given(void **state)
{
    struct lamp lamp;

    (void)state;
    read_lamp(&lamp, "{\"lamp_format\": 1}", "");
    assert_string_equal(lamp.maker, "us");
    assert_float_equal(lamp.bulb.watts, 60, 0);
    assert_int_equal(lamp.colour, 6);
    assert_false(lamp.hangs || lamp.off || lamp.notes);
    fields_release(lamp_fields, &lamp);
}

static void
each_kind_goes_where_its_row_says(void **state)
{
    struct lamp lamp;

    (void)state;
    read_lamp(&lamp,
              "{\"$schema\": \"x\", \"lamp_format\": 1, \"name\": \"a\\u0007b\", \"colour\": "
              "\"blue\", \"bulb\": {\"watts\": 7.5, \"count\": 4, \"shade\": 2}, \"hangs\": "
              "\"hangs\", \"on\": false, \"notes\": [1]}",
              "");
    assert_string_equal(lamp.name, "a?b");
    assert_float_equal(lamp.bulb.watts, 7.5, 0);
    assert_int_equal(lamp.bulb.count, 4);
    assert_int_equal(lamp.colour, 7);
    assert_true(lamp.hangs && lamp.off);
    assert_int_equal(json_size(lamp.notes), 1);
    fields_release(lamp_fields, &lamp);
}

static void
limits_are_told_in_the_words_of_the_kind(void **state)
{
    struct lamp lamp;

    (void)state;
    read_lamp(
        &lamp,
        "{\"lamp_format\": 2, \"name\": \"12345678\", \"colour\": \"gren\", \"hangs\": \"x\", "
        "\"bulb\": {\"watts\": 0, \"count\": 2.5, \"shade\": 3}, \"on\": 1}",
        "f: lamp_format: is 2; this version reads format 1\n"
        "f: bulb.watts: must be a number above 0, at most 100\n"
        "f: bulb.count: must be a whole number from 1 to 4\n"
        "f: bulb.shade: must be a size from 0.5 to 2 m\n"
        "f: hangs: is \"x\"; allowed are \"stands\" and \"hangs\"\n"
        "f: on: is a number, must be true or false\n"
        "f: name: is longer than 7 bytes\n"
        "f: colour: is \"gren\", did you mean \"green\"?; allowed are red, green, blue\n");
    fields_release(lamp_fields, &lamp);
}

static void
turns_and_rules_keep_their_order(void **state)
{
    struct lamp lamp;

    (void)state;
    read_lamp(&lamp,
              "{\"lamp_format\": 1, \"colour\": 1, \"name\": \"\", \"maker\": \"x\", \"nme\": 1, "
              "\"oneOf\": 1, \"height\": 3}",
              "f: nme: unknown key, did you mean \"name\"?\n"
              "f: oneOf: unknown key\n"
              "f: has both\n"
              "f: name: is empty\n"
              "f: colour: is a number, must be a string\n");
    fields_release(lamp_fields, &lamp);
}

static void
nothing_is_read_behind_a_gate(void **state)
{
    struct lamp lamp;

    (void)state;
    read_lamp(&lamp, "{\"lamp_format\": 1, \"bulb\": {\"watts\": 200, \"shade\": 3}}",
              "f: bulb.watts: must be a number above 0, at most 100\n"
              "f: bulb.count: is missing; it must be a number\n");
    fields_release(lamp_fields, &lamp);
    read_lamp(&lamp, "{\"lamp_format\": 1, \"bulb\": []}",
              "f: bulb: is an array, must be an object\n");
    fields_release(lamp_fields, &lamp);
    read_lamp(&lamp, "[]", "f: is an array, must be an object\n");
    fields_release(lamp_fields, &lamp);
}

/* It gets what fields_read_turn() was given. */
static void
later_turns_are_read_by_name(void **state)
{
    struct json *json = parsed("{\"height\": \"170 cm\", \"colour\": 1}");
    struct problems problems = {0};
    struct where where = where_file("f", json, &problems);
    struct lamp lamp = nothing;
    int unit_mm = 10;

    (void)state;
    assert_true(fields_read_turn(lamp_fields, FIELD_TURNS, &where, &lamp, &unit_mm));
    assert_int_equal(problems.count, 0);
    assert_int_equal(lamp.height_mm, 1700);
    json_free(json);
}

/* ---- the schema ---- */

static void
the_schema_says_the_same(void **state)
{
    struct json *schema = schema_of_fields(lamp_fields);
    char *text = json_print(schema, false);

    (void)state;
    assert_string_equal(
        text,
        "{\"$schema\":\"http://json-schema.org/draft-07/schema#\",\"title\":\"lamp\","
        "\"description\":\"one lamp\",\"type\":\"object\",\"additionalProperties\":false,"
        "\"properties\":{\"$schema\":{\"description\":\"where an editor finds the schema of this "
        "file\",\"type\":\"string\"},\"lamp_format\":{\"const\":1,\"description\":\"says what this "
        "file is\"},\"maker\":{\"description\":\"who made it\",\"type\":\"string\",\"default\":"
        "\"us\"},\"name\":{\"description\":\"its name\",\"type\":\"string\",\"maxLength\":7,"
        "\"minLength\":1},\"bulb\":{\"description\":\"the bulb\",\"type\":\"object\","
        "\"additionalProperties\":false,\"properties\":{\"watts\":{\"description\":\"how bright\","
        "\"type\":\"number\",\"exclusiveMinimum\":0,\"maximum\":100,\"default\":60},\"count\":{"
        "\"description\":\"how many\",\"type\":\"integer\",\"minimum\":1,\"maximum\":4},\"shade\":{"
        "\"type\":\"number\",\"minimum\":0.5,\"maximum\":2}},\"required\":[\"count\"]},\"colour\":{"
        "\"description\":\"its "
        "colour\",\"enum\":[\"red\",\"green\",\"blue\"],\"default\":\"green\"}"
        ",\"hangs\":{\"description\":\"where it is\",\"enum\":[\"stands\",\"hangs\"],\"default\":"
        "\"stands\"},\"on\":{\"description\":\"whether it "
        "shines\",\"type\":\"boolean\",\"default\":"
        "true},\"notes\":{\"description\":\"what you like\"},\"height\":{\"description\":\"how "
        "high\",\"type\":\"string\"}},\"required\":[\"lamp_format\"],\"oneOf\":[]}");
    free(text);
    json_free(schema);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(presets_stand_where_nothing_is_given),
        cmocka_unit_test(each_kind_goes_where_its_row_says),
        cmocka_unit_test(limits_are_told_in_the_words_of_the_kind),
        cmocka_unit_test(turns_and_rules_keep_their_order),
        cmocka_unit_test(nothing_is_read_behind_a_gate),
        cmocka_unit_test(later_turns_are_read_by_name),
        cmocka_unit_test(the_schema_says_the_same),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
