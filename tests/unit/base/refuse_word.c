/* SPDX-License-Identifier: MIT */
/* A word that is none of a list: the message names the list, however long the list has become. */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "base/fields.h"

enum { WORDS = 40 };

/* Refuses "none" against a list of so many words, and returns the one problem told. */
static const char *
told(struct problems *problems, int count)
{
    static char words[WORDS][20];
    const char *list[WORDS + 1] = {NULL};
    const struct field_words allowed = {.list = list};
    struct where where;

    for (int i = 0; i < count; i++) {
        snprintf(words[i], sizeof words[i], "word-number-%02d", i);
        list[i] = words[i];
    }
    *problems = (struct problems){0};
    where = where_file("file", NULL, problems);
    field_refuse_word(&allowed, "none", &where);
    assert_int_equal(problems->count, 1);
    return problems->lines[0];
}

static void
names_a_short_list(void **state)
{
    struct problems problems;

    (void)state;
    assert_string_equal(told(&problems, 2),
                        "file: is \"none\"; allowed are word-number-00, word-number-01");
    problems_release(&problems);
}

/* Forty words are three times what the line holds. */
static void
cuts_a_long_list(void **state)
{
    struct problems problems;
    const char *line = told(&problems, WORDS);

    (void)state;
    assert_non_null(strstr(line, "allowed are word-number-00, word-number-01, word-number-02"));
    assert_string_equal(line + strlen(line) - 3, "...");
    problems_release(&problems);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_a_short_list),
        cmocka_unit_test(cuts_a_long_list),
    };

    return cmocka_run_group_tests_name("refuse_word", tests, NULL, NULL);
}
