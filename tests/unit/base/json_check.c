/* SPDX-License-Identifier: MIT */
/* What is said of a text that is no JSON, and that all that is let pass can be read. The grammar is
 * that of RFC 8259; the end-to-end tests compare with another reader of it.
 */
#include "unit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/json.h"
#include "base/json_check.h"

/* In a block of its own size: "" when it is good, else "line:column: what is wrong". */
static const char *
told_of(const char *text, size_t length, char told[JSON_FAULT_SIZE + 40])
{
    char *copy = malloc(length + 1);
    struct json_fault fault = {0, ""};

    assert_non_null(copy);
    memcpy(copy, text, length);
    copy[length] = '\0';
    told[0] = '\0';
    if (!json_check(copy, length, &fault)) {
        struct json_place place = json_place(copy, fault.at);

        assert_true(fault.at <= length && fault.says[0] != '\0');
        snprintf(told, JSON_FAULT_SIZE + 40, "%d:%d: %s", place.line, place.column, fault.says);
    }
    free(copy);
    return told;
}

struct row {
    const char *text, *told;
};

static void
each_is_told(const struct row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        char told[JSON_FAULT_SIZE + 40];

        if (strcmp(told_of(rows[i].text, strlen(rows[i].text), told), rows[i].told) != 0)
            fail_msg("of %s\n  is told  %s\n  expected %s", rows[i].text, told, rows[i].told);
    }
}

/* ---- what stands between ---- */

static void
commas(void **state)
{
    static const struct row rows[] = {
        {"{\"a\": 1 \"b\": 2}", "1:9: expected , before this"},
        {"{\n  \"a\": 1\n  \"b\": 2\n}", "3:3: expected , before this"},
        {"[1 2]", "1:4: expected , before this"},
        {"[{} {}]", "1:5: expected , before this"},
        {"[[]\n[]]", "2:1: expected , before this"},
        {"[\"a\" true]", "1:6: expected , before this"},
        {"[1 -2]", "1:4: expected , before this"},
        {"[1; 2]", "1:3: expected , or ] here, not ;"},
        {"{\"a\": 1; \"b\": 2}", "1:8: expected , or } here, not ;"},
        {"[1: 2]", "1:3: expected , or ] here, not :"},
        {"[1, 2,]", "1:6: nothing follows this , and so it must go"},
        {"{\"a\": 1,\n}", "1:8: nothing follows this , and so it must go"},
        {"{\"a\": 1, ]", "1:8: nothing follows this , and so it must go"},
        {"[1,, 2]", "1:4: expected a value before this"},
        {"[, 1]", "1:2: expected a value before this"},
        {"{, \"a\": 1}", "1:2: expected a key in double quotes before this"},
        {"{\n\"a\": 1,\n, \"b\": 2}", "3:1: expected a key in double quotes before this"},
        {"{\"a\": 1,5}", "1:8: decimals stand behind a point, not behind a ,"},
        {"{\"a\": 1, 5}", "1:10: expected a key in double quotes here, not 5"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

static void
colons(void **state)
{
    static const struct row rows[] = {
        {"{\"a\" 1}", "1:6: expected : before this"},
        {"{\"link\" { } }", "1:9: expected : before this"},
        {"{\"a\" \"b\"}", "1:6: expected : before this"},
        {"{\"a\" = 1}", "1:6: expected : here, not ="},
        {"{\"a\"}", "1:5: expected : and a value before this"},
        {"{\"a\", \"b\": 1}", "1:5: expected : and a value before this"},
        {"{\"a\":}", "1:6: expected a value before this"},
        {"{\"a\":, \"b\": 1}", "1:6: expected a value before this"},
        {"{\"a\":: 1}", "1:6: expected a value here, not :"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

static void
brackets(void **state)
{
    static const struct row rows[] = {
        {"{\"a\": [1, 2}", "1:12: this } comes too early: the [ of line 1, column 7 is not closed"},
        {"{\n\"a\": 1]", "2:7: this ] comes too early: the { of line 1, column 1 is not closed"},
        {"[}", "1:2: expected a value before this"},
        {"{]", "1:2: expected a key in double quotes before this"},
        {"[1, 2", "1:6: the file ends too early: the [ of line 1, column 1 is not closed"},
        {"{\"a\":\n [1],\n",
         "3:1: the file ends too early: the { of line 1, column 1 is not closed"},
        {"{\"a\":\n{\"b\":",
         "2:6: the file ends too early: the { of line 2, column 1 is not closed"},
        {"{}}", "1:3: this } closes nothing"},
        {"[1]\n\n]", "3:1: this ] closes nothing"},
        {"}", "1:1: expected a value before this"},
        {"{} {}", "1:4: something follows the value"},
        {"1 2", "1:3: something follows the value"},
        {"{},", "1:3: something follows the value"},
        {"", "1:1: the file is empty"},
        {" \n ", "2:2: the file is empty"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

/* ---- what no JSON knows ---- */

static void
comments(void **state)
{
    static const struct row rows[] = {
        {"// the desk\n{}", "1:1: comments are not allowed"},
        {"{} // the end", "1:4: comments are not allowed"},
        {"{\n  # the desk\n}", "2:3: comments are not allowed"},
        {"{\"a\": /* one */ 1}", "1:7: comments are not allowed"},
        {"{\"a\": 1 // one\n}", "1:9: comments are not allowed"},
        {"{\"a\": 1, // one\n}", "1:10: comments are not allowed"},
        {"[1, # one\n2]", "1:5: comments are not allowed"},
        {"{\"a\" /* b */: 1}", "1:6: comments are not allowed"},
        {"{\"a\": 1 / 2}", "1:9: expected , or } here, not /"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

#define CURLY(quote) quote " is a curly quote; a text stands in straight ones, \""

static void
quotes(void **state)
{
    static const struct row rows[] = {
        {"{\u201cdesk\u201d: 1}", "1:2: " CURLY("\u201c")},
        {"{\"a\": \u201cx\u201d}", "1:7: " CURLY("\u201c")},
        {"{\"a\": \u201ex\u201c}", "1:7: " CURLY("\u201e")},
        {"[\u00abx\u00bb]", "1:2: " CURLY("\u00ab")},
        {"[\u2018x\u2019]", "1:2: " CURLY("\u2018")},
        {"{\"a\u201d: 1,\n\"b\": 2}", "1:4: " CURLY("\u201d")}, /* runs on to its line's end */
        {"{\"a\u201d: \"x\"}", "1:4: " CURLY("\u201d")},        /* or to the next quote */
        {"{\"a\": \"x\u201d, \"b\": 2}", "1:9: " CURLY("\u201d")},
        {"{\"don\u2019t\": 1 \"b\": 2}", "1:13: expected , before this"}, /* a good text */
        {"{\"a\": \"don\u2019t\" \"b\": 2}", "1:15: expected , before this"},
        {"{\"a\": \"don\u2019t,\n\"b\": 2}", "1:7: this text has no closing \" on its line"},
        {"{'a': 1}", "1:2: a text stands in double quotes \", not in '"},
        {"[\"a\", 'b']", "1:7: a text stands in double quotes \", not in '"},
        {"{\"a\": \"x,\n\"b\": 1}", "1:7: this text has no closing \" on its line"},
        {"{\"a: 1}", "1:8: the file ends in the middle of a text"},
        {"\"", "1:2: the file ends in the middle of a text"},
        {"{desk: 1}", "1:2: a key stands in double quotes"},
        {"{\"a\": desk}", "1:7: a text stands in double quotes"},
        {"{1: 2}", "1:2: expected a key in double quotes here, not 1"},
        {"[\"a\"b\"]", "1:5: expected , before this"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
    each_is_told((const struct row[]){{"[\"\u201cLd Vox\u201d, don\u2019t\"]", ""}}, 1);
}

static void
words_and_numbers(void **state)
{
    static const struct row rows[] = {
        {"[True]", "1:2: true is written in small letters"},
        {"[FALSE]", "1:2: false is written in small letters"},
        {"[Null]", "1:2: null is written in small letters"},
        {"[tru]", "1:2: a text stands in double quotes"},
        {"[trueish]", "1:2: a text stands in double quotes"},
        {"[yes]", "1:2: a switch is true or false; a text stands in double quotes"},
        {"[Off]", "1:2: a switch is true or false; a text stands in double quotes"},
        {"[-inf]", "1:3: minus infinity is written \"-inf\", with its quotes"},
        {"[-Infinity]", "1:3: minus infinity is written \"-inf\", with its quotes"},
        {"[NaN]", "1:2: a text stands in double quotes"},
        {"[-]", "1:3: a number has a digit behind its -"},
        {"[- 1]", "1:3: a number has a digit behind its -"},
        {"[+1]", "1:2: a number has no + before it"},
        {"[.5]", "1:2: a number has a digit before its point"},
        {"[-.5]", "1:3: a number has a digit behind its -"},
        {"[5.]", "1:4: a number has a digit behind its point"},
        {"[1.e5]", "1:4: a number has a digit behind its point"},
        {"[1e]", "1:4: a number has a digit behind its e"},
        {"[1e+]", "1:5: a number has a digit behind its e"},
        {"[007]", "1:2: a number has no 0 before its digits"},
        {"[-01]", "1:3: a number has no 0 before its digits"},
        {"[0x10]", "1:3: a number does not go on so; a text stands in double quotes"},
        {"[48k]", "1:4: a number does not go on so; a text stands in double quotes"},
        {"[1.2.3]", "1:5: a number does not go on so; a text stands in double quotes"},
        {"[1111111111222222222233333333334444444444555555555566666666667777]",
         "1:2: a number of more than 63 characters"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

static void
bytes_and_escapes(void **state)
{
    static const struct row rows[] = {
        {"[\"C:\\shows\"]", "1:5: a \\ in a text is written \\\\"},
        {"[\"\\\n\"]", "1:3: a \\ in a text is written \\\\"},
        {"[\"\\", "1:3: a \\ in a text is written \\\\"},
        {"[\"\\u00g0\"]", "1:3: \\u needs four hexadecimal digits"},
        {"[\"\\u12", "1:3: \\u needs four hexadecimal digits"},
        {"[\"\\u0000\"]", "1:3: \\u0000 is not allowed in a string"},
        {"[\"\\ud83c\"]", "1:3: \\ud83c is half a character"},
        {"[\"\\ud83c\\u0041\"]", "1:3: \\ud83c is half a character"},
        {"[\"\\udfa4\"]", "1:3: \\udfa4 is half a character"},
        {"[\"a\tb\"]", "1:4: a tab in a text is written \\t"},
        {"[\"a\x1b[2J\"]", "1:4: a control character in a text is written \\u001b"},
        {"[\x1b]", "1:2: expected a value here, not \x1b"},
        {"[\xff]", "1:2: not UTF-8 text"},
        {"[\"\xc3\"]", "1:3: not UTF-8 text"},
        {"[\u00a01]", "1:2: a blank that JSON does not know; type a plain one in its place"},
        {"[1,\u200b2]", "1:4: a blank that JSON does not know; type a plain one in its place"},
        {"{\"a\":\u30001}", "1:6: a blank that JSON does not know; type a plain one in its place"},
        {"[1\f]", "1:3: a blank that JSON does not know; type a plain one in its place"},
        {"[\ufeff]", "1:2: a blank that JSON does not know; type a plain one in its place"},
        {"[\u00e4]", "1:2: expected a value here, not \u00e4"},
    };
    char told[JSON_FAULT_SIZE + 40];

    (void)state;
    each_is_told(rows, COUNT(rows));
    assert_string_equal(told_of("[1,\0 2]", 7, told), "1:4: a NUL byte");
    assert_string_equal(told_of("[\"a\0\"]", 6, told), "1:4: a NUL byte");
    assert_string_equal(told_of("{}\0", 3, told), "1:3: a NUL byte");
}

/* ---- what is good ---- */

static void
good_text_passes(void **state)
{
    static const char *const texts[] = {
        "{}",
        "[]",
        " 1 ",
        "\"x\"",
        "null",
        "true",
        "[[[]]]",
        "{\"a\": {\"b\": [1, {}]}}",
        "[0, -0, 1.5, -1.5e3, 1E+5, 2e-7, 0.0]",
        "[\"\\\"\\\\\\/\\b\\f\\n\\r\\t\\u00e4\\ud83c\\udfa4\"]",
        "\ufeff{}",
        "\r\n\t{ }\r\n",
        "[\"\u00e4\u30a2\xf0\x9f\x8e\xa4\x7f\"]",
        "[111111111122222222223333333333444444444455555555556666666666777]",
    };
    char told[JSON_FAULT_SIZE + 40];

    (void)state;
    for (size_t i = 0; i < COUNT(texts); i++)
        assert_string_equal(told_of(texts[i], strlen(texts[i]), told), "");
}

static void
depth_has_a_limit(void **state)
{
    char text[2 * JSON_DEPTH + 4], told[JSON_FAULT_SIZE + 40];

    (void)state;
    memset(text, '[', JSON_DEPTH + 1);
    memset(text + JSON_DEPTH, ']', JSON_DEPTH + 1);
    assert_string_equal(told_of(text, 2 * JSON_DEPTH, told), "");
    memset(text, '[', JSON_DEPTH + 1);
    assert_string_equal(told_of(text, JSON_DEPTH + 1, told), "1:1001: nested more than 1000 deep");
}

/* What is let pass is read, and is what was meant: it passes again as it is printed. What is not
 * is told once, with a place. */
static void
damaged_text_is_told_or_read(void **state)
{
    static const char good[] = "{\"a\": [1, -2.5e+3, \"x\\n\\u00e4\u201c\", true, null, {}],\n "
                               "\"b\": {\"c\": [], \"d\": false}}";
    static const char odd[] = "{}[]:,\"'\\/#.-+0 1eutn\n\t\x01\xc3\xa4\xff";
    struct dice dice = dice_new();
    size_t read = 0;

    (void)state;
    for (int round = 0; round < 50000; round++) {
        char text[sizeof good + 8], told[JSON_FAULT_SIZE + 40];
        size_t length = sizeof good - 1;
        struct problems problems = {0};
        struct json *json;

        memcpy(text, good, sizeof good);
        for (int i = dice_below(&dice, 3); i >= 0; i--) {
            size_t at = (size_t)dice_below(&dice, (int)length);
            size_t cut = (size_t)dice_below(&dice, 2);

            memmove(text + at, text + at + cut, length - at - cut + 1);
            length -= cut;
            text[at] = odd[dice_below(&dice, (int)sizeof odd - 1)];
        }
        text[length] = '\0';
        told_of(text, length, told);
        json = json_parse(text, length, "f", &problems);
        assert_true(!json || *told == '\0');
        assert_true(json || problems.count > 0);
        read += json != NULL;
        if (json) {
            char *again = json_print(json, false);

            assert_string_equal(told_of(again, strlen(again), told), "");
            free(again);
        }
        json_free(json);
        problems_release(&problems);
    }
    assert_in_range(read, 500, 49500); /* both happen */
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(commas),
        cmocka_unit_test(colons),
        cmocka_unit_test(brackets),
        cmocka_unit_test(comments),
        cmocka_unit_test(quotes),
        cmocka_unit_test(words_and_numbers),
        cmocka_unit_test(bytes_and_escapes),
        cmocka_unit_test(good_text_passes),
        cmocka_unit_test(depth_has_a_limit),
        cmocka_unit_test(damaged_text_is_told_or_read),
    };

    json_init();
    return cmocka_run_group_tests_name("json_check", tests, NULL, NULL);
}
