/* SPDX-License-Identifier: MIT */
/* Reading JSON strictly: from memory, from files, and what is said of broken ones. */
#include "unit.h"

#include <stdlib.h>
#include <string.h>

#include "base/where.h"
#include "files.h"
#include "profile/profile.h"

/* Parses `length` bytes in a block of exactly that and a NUL; wants the one problem, or none for
 * NULL. */
static void
parse_bytes(const char *text, size_t length, const char *problem)
{
    struct problems problems = {0};
    char *copy = malloc(length + 1);
    struct json *json;

    assert_non_null(copy);
    memcpy(copy, text, length);
    copy[length] = '\0';
    json = json_parse(copy, length, "f", &problems);
    if (problems.count > 0 && (!problem || strcmp(problems.lines[0], problem) != 0))
        print_error("found:    %s\nexpected: %s\n", problems.lines[0], problem ? problem : "none");
    assert_int_equal(problems.count, problem ? 1 : 0);
    assert_int_equal(json != NULL, problem == NULL);
    if (problem)
        assert_string_equal(problems.lines[0], problem);
    json_free(json);
    problems_release(&problems);
    free(copy);
}

static void
parse(const char *text, const char *problem)
{
    parse_bytes(text, strlen(text), problem);
}

/* ---- text ---- */

static void
sound_text_passes(void **state)
{
    static const char *const texts[] = {
        "{}",
        "[]",
        " 1 ",
        "\"x\"",
        "null",
        "{\"a\": [1, {\"b\": null}], \"c\": \"\\u00e4\\\\\"}\n",
        "{\"a\": {\"k\": 1}, \"b\": {\"k\": 1}}",
        "\"\\\\u0000\"",
        "\"J\xc3\xb6rg\"",
        "{\"A\": 1, \"a\": 2}", /* other letters are another key */
    };

    (void)state;
    for (size_t i = 0; i < COUNT(texts); i++)
        parse(texts[i], NULL);
}

/* Columns count characters, not bytes. What else is told: base/json_check.c. */
static void
broken_text_is_told_with_line_and_column(void **state)
{
    (void)state;
    parse("{\n  \"a\": 1\n  \"b\": 2\n}", "f:3:3: expected , before this");
    parse("{\"\xc3\xa4\": x}", "f:1:7: a text stands in double quotes");
}

static void
bytes_that_are_no_text_are_told(void **state)
{
    (void)state;
    parse_bytes("{\"a\":\0 1}", 9, "f:1:6: a NUL byte");
    parse_bytes("{}\0", 3, "f:1:3: a NUL byte");
    parse("{\"a\": \"\xff\"}", "f:1:8: not UTF-8 text");
    parse("\"\xc3\"", "f:1:2: not UTF-8 text");
    parse("\"\xc0\xaf\"", "f:1:2: not UTF-8 text");         /* overlong */
    parse("\"\xed\xa0\x80\"", "f:1:2: not UTF-8 text");     /* a surrogate */
    parse("\"\xf4\x90\x80\x80\"", "f:1:2: not UTF-8 text"); /* past the last character */
    parse("\n\n  \x80", "f:3:3: not UTF-8 text");
    parse("\"\xf0\x9f\x8e", "f:1:2: not UTF-8 text"); /* cut */
    parse("\"a\\u0000b\"", "f:1:3: \\u0000 is not allowed in a string");
    parse("\"\\\\\\u0000\"", "f:1:4: \\u0000 is not allowed in a string");
}

static void
keys_stand_once(void **state)
{
    (void)state;
    parse("{\"a\": 1, \"a\": 2}", "f: a: this key stands twice");
    parse("{\"a\": [0, {\"b\": 1, \"c\": 1, \"b\": 1}]}", "f: a[1].b: this key stands twice");
    parse("{\"\\u0061\": 1, \"a\": 2}", "f: a: this key stands twice"); /* however it is spelt */
}

static void
deep_nesting_is_refused_not_followed(void **state)
{
    enum { DEEP = 100000 };
    char *text = malloc(DEEP + 1);
    struct problems problems = {0};

    (void)state;
    memset(text, '[', DEEP);
    text[DEEP] = '\0';
    assert_null(json_parse(text, DEEP, "f", &problems));
    assert_int_equal(problems.count, 1);
    problems_release(&problems);
    free(text);
}

/* Every beginning of a sound text is told to be broken, and where; none is read past its end. */
static void
truncated_text_is_refused(void **state)
{
    static const char whole[] =
        "{\"link\": {\"port\": -1.5e3, \"on\": true}, \"list\": [\"\xc3\xa4\\u00e4\\n\", null]}";

    (void)state;
    for (size_t length = 0; length + 1 < sizeof whole; length++) {
        struct problems problems = {0};
        char *copy = malloc(length + 1);
        struct json *json;

        memcpy(copy, whole, length);
        copy[length] = '\0';
        json = json_parse(copy, length, "f", &problems);
        assert_null(json);
        assert_int_equal(problems.count, 1);
        assert_memory_equal(problems.lines[0], "f:1:", 4);
        problems_release(&problems);
        free(copy);
    }
    parse(whole, NULL);
}

/* ---- files ---- */

static void
reads_as(const char *path, const char *problem)
{
    struct problems problems = {0};
    struct json *json;
    char expected[FILE_PATH_SIZE + 200];

    strcpy(expected, path);
    strcat(expected, problem);
    json = json_read(path, &problems);
    assert_null(json);
    assert_int_equal(problems.count, 1);
    assert_string_equal(problems.lines[0], expected);
    problems_release(&problems);
}

static void
files_are_read(void **state)
{
    static const char text[] = "{\"profile_format\": 1}\n";
    char path[FILE_PATH_SIZE];
    struct problems problems = {0};
    struct json *json;

    (void)state;
    file_write(path, text, sizeof text - 1);
    json = json_read(path, &problems);
    assert_non_null(json);
    assert_near(json_number(json_get(json, "profile_format")), 1, 0);
    json_free(json);
    problems_release(&problems);
    file_remove(path);
}

static void
files_that_cannot_be_read(void **state)
{
    char path[FILE_PATH_SIZE];

    (void)state;
    file_make_directory(path);
    reads_as(path, ": cannot read: Is a directory");
    file_remove(path);
    reads_as(path, ": cannot read: No such file or directory");
    reads_as("/dev/null", ": cannot read: it is no regular file"); /* no regular file */
}

static void
broken_files_are_told(void **state)
{
    char path[FILE_PATH_SIZE];

    (void)state;
    file_write(path, "", 0);
    reads_as(path, ":1:1: the file is empty");
    file_remove(path);
    file_write(path, "{\"a\":\n[1, 2", 11);
    reads_as(path, ":2:6: the file ends too early: the [ of line 2, column 1 is not closed");
    file_remove(path);
    file_write(path, "{\"a\": 1}\0", 9);
    reads_as(path, ":1:9: a NUL byte");
    file_remove(path);
    file_write(path, "\xff\xfe{\0}\0", 6); /* another encoding */
    reads_as(path, ":1:1: not UTF-8 text");
    file_remove(path);
}

/* A profile that was cut on the way to the disk: the string that does not end is where it breaks.
 */
static void
truncated_profile_is_not_loaded(void **state)
{
    static const char start[] = "{\n  \"profile_format\": 1,\n  \"desk\": \"Examp";
    char path[FILE_PATH_SIZE];
    char expected[FILE_PATH_SIZE + 100];
    struct problems problems = {0};

    (void)state;
    file_write(path, start, sizeof start - 1);
    assert_null(profile_load(path, NULL, &problems));
    assert_int_equal(problems.count, 1);
    strcpy(expected, path);
    strcat(expected, ":3:17: the file ends in the middle of a text");
    assert_string_equal(problems.lines[0], expected);
    problems_release(&problems);
    file_remove(path);
}

static void
file_size_has_a_limit(void **state)
{
    char path[FILE_PATH_SIZE];

    (void)state;
    file_write_spaces(path, JSON_FILE_LIMIT + 1);
    reads_as(path, ": larger than 8 MiB, which no profile or show file needs");
    file_remove(path);
    file_write_spaces(path, JSON_FILE_LIMIT);
    reads_as(path, ":1:8388609: the file is empty");
    file_remove(path);
}

/* ---- walking and building ---- */

static void
kinds_are_told_apart(void **state)
{
    static const struct {
        const char *text;
        enum json_kind kind;
        const char *name;
    } rows[] = {
        {"null", JSON_NULL, "null"},           {"true", JSON_BOOL, "true or false"},
        {"false", JSON_BOOL, "true or false"}, {"0", JSON_NUMBER, "a number"},
        {"\"\"", JSON_STRING, "a string"},     {"[]", JSON_ARRAY, "an array"},
        {"{}", JSON_OBJECT, "an object"},
    };
    struct problems problems = {0};

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct json *json = json_parse(rows[i].text, strlen(rows[i].text), "f", &problems);

        assert_int_equal(json_kind(json), rows[i].kind);
        assert_string_equal(json_kind_name(rows[i].kind), rows[i].name);
        json_free(json);
    }
    problems_release(&problems);
}

static void
members_are_found_with_their_letter_case(void **state)
{
    static const char text[] = "{\"Key\": 1, \"key\": 2, \"list\": [3, 4]}";
    struct problems problems = {0};
    struct json *json;

    (void)state;
    json = json_parse(text, sizeof text - 1, "f", &problems);
    assert_near(json_number(json_get(json, "key")), 2, 0);
    assert_null(json_get(json, "KEY"));
    assert_int_equal(json_size(json), 3);
    assert_string_equal(json_key(json_next(json_first(json))), "key");
    assert_near(json_number(json_next(json_first(json_get(json, "list")))), 4, 0);
    assert_null(json_next(json_next(json_first(json_get(json, "list")))));
    json_free(json);
    problems_release(&problems);
}

static void
trees_are_built_and_filled(void **state)
{
    struct json *json = json_new_object();
    struct json *list = json_new_array();
    struct json *filled;
    char *text;

    (void)state;
    json_add_string(json, "say", "[${text}] ${text}");
    json_add_number(json, "number", -1.5);
    json_add_number(json, "off", -1.0 / 0.0); /* JSON has no infinities */
    json_add_bool(json, "yes", true);
    json_add(json, "list", list);
    filled = json_fill(json, "a \"b\" ${text}", "7");
    text = json_print(filled, false);
    /* what is put in is not looked at again */
    assert_string_equal(text,
                        "{\"say\":\"[a \\\"b\\\" ${text}] a \\\"b\\\" ${text}\",\"number\":-1.5,"
                        "\"off\":null,\"yes\":true,\"list\":[]}");
    free(text);
    json_free(filled);
    json_free(json);
}

/* What both readers make of a value; the problem, or NULL. */
static const struct {
    const char *value, *above, *whole; /* up to 5; from -2 to 5 */
} taken[] = {
    {"5", NULL, NULL},
    {"0.5", NULL, "f: must be a whole number from -2 to 5"},
    {"0", "f: must be a number above 0, at most 5", NULL},
    {"-2", "f: must be a number above 0, at most 5", NULL},
    {"5.5", "f: must be a number above 0, at most 5", "f: must be a whole number from -2 to 5"},
    {"true", "f: must be a number above 0, at most 5", "f: must be a whole number from -2 to 5"},
};

static void
assert_taken(const char *value, bool good, const struct problems *problems, const char *problem)
{
    assert_row(value, good, problem == NULL);
    assert_row(value, (long)problems->count, problem != NULL);
    if (problem)
        assert_string_equal(problems->lines[0], problem);
}

static void
numbers_are_taken_within_their_limits(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof taken / sizeof *taken; i++) {
        const char *value = taken[i].value, *expected[] = {taken[i].above, taken[i].whole};

        for (int reader = 0; reader < 2; reader++) {
            struct problems problems = {0};
            struct where where;
            struct json *json;
            double number = 99;
            int whole = 99;
            bool good;

            json = json_parse(value, strlen(value), "f", &problems);
            assert_non_null(json);
            where = where_file("f", json, &problems);
            good = reader == 0 ? where_take_above(&where, 5, &number)
                               : where_take_whole(&where, -2, 5, &whole);
            assert_taken(value, good, &problems, expected[reader]);
            assert_near(reader == 1 ? whole : number, good ? json_number(json) : 99, 0);
            json_free(json);
            problems_release(&problems);
        }
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sound_text_passes),
        cmocka_unit_test(broken_text_is_told_with_line_and_column),
        cmocka_unit_test(bytes_that_are_no_text_are_told),
        cmocka_unit_test(keys_stand_once),
        cmocka_unit_test(deep_nesting_is_refused_not_followed),
        cmocka_unit_test(truncated_text_is_refused),
        cmocka_unit_test(files_are_read),
        cmocka_unit_test(files_that_cannot_be_read),
        cmocka_unit_test(broken_files_are_told),
        cmocka_unit_test(truncated_profile_is_not_loaded),
        cmocka_unit_test(file_size_has_a_limit),
        cmocka_unit_test(kinds_are_told_apart),
        cmocka_unit_test(members_are_found_with_their_letter_case),
        cmocka_unit_test(trees_are_built_and_filled),
        cmocka_unit_test(numbers_are_taken_within_their_limits),
    };

    return cmocka_run_group_tests_name("json", tests, NULL, NULL);
}
