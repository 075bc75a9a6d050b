/* SPDX-License-Identifier: MIT */
/* What of the facts is more than an age, as a page sees it: all but at_ms, clock, heard_ms, age_s and
 * for_s, wherever they stand. */
#include "board/ages.h"

#include <string.h>

#include "unit.h"

static uint64_t
print_of(const char *text)
{
    struct problems problems = {0};
    struct json *json = json_parse(text, strlen(text), "facts", &problems);
    uint64_t print;

    assert_non_null(json);
    print = ages_aside(json);
    json_free(json);
    return print;
}

static void
test_ages_are_left_aside(void **state)
{
    static const char *const alike[] = {
        "{\"at_ms\": 1, \"desks\": [{\"link\": {\"heard_ms\": 4}, \"now\": [{\"age_s\": 7}]}]}",
        "{\"at_ms\": 9, \"desks\": [{\"link\": {\"heard_ms\": null}, \"now\": [{\"age_s\": 8}]}]}",
        "{\"clock\": \"21:00:00\", \"desks\": [{\"link\": {}, \"now\": [{\"for_s\": 8}]}]}",
    };

    (void)state;
    for (size_t i = 1; i < sizeof alike / sizeof *alike; i++)
        assert_true(print_of(alike[i]) == print_of(alike[0]));
}

static void
test_all_else_counts(void **state)
{
    static const char *const others[] = {
        "{\"a\": 1}",          "{\"a\": 1.5}",       "{\"a\": \"1\"}",       "{\"a\": true}",
        "{\"a\": false}",      "{\"a\": null}",      "{\"a\": [1]}",         "{\"a\": [[1]]}",
        "{\"a\": {\"b\": 1}}", "{\"b\": 1}",         "{\"a\": 1, \"b\": 1}", "{\"b\": 1, \"a\": 1}",
        "{\"a\": [1, 2]}",     "{\"a\": [12]}",      "{\"a\": [2, 1]}",      "{\"a\": []}",
        "{\"a\": \"\"}",       "{\"a\": [[1], 2]}",  "{\"a\": [[1, 2]]}",    "{}",
        "[\"at_ms\"]",         "[\"at_ms\", \"x\"]", "{\"a\": \"at_ms\"}",   "{\"a\": -1}",
    };

    (void)state;
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        for (size_t j = 0; j < i; j++)
            if (print_of(others[i]) == print_of(others[j]))
                fail_msg("%s is taken for %s", others[i], others[j]);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ages_are_left_aside),
        cmocka_unit_test(test_all_else_counts),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
