/* SPDX-License-Identifier: MIT */
/* The list of checks: what has to hold of every row, whatever the check. */
#include "unit.h"

#include "check/check.h"

/* A row copied from another check's would be run with that one's settings. */
static void
test_each_check_stands_at_its_number(void **state)
{
    (void)state;
    for (int i = 0; i < CHECKS; i++)
        assert_row(check_name(i), check_set_all.of[i]->number, i);
}

static void
test_each_id_finds_its_check_alone(void **state)
{
    (void)state;
    for (int i = 0; i < CHECKS; i++)
        assert_row(check_name(i), check_find(check_name(i)), i);
    assert_int_equal(check_find("left on"), -1);
    assert_int_equal(check_find(""), -1);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_each_check_stands_at_its_number),
        cmocka_unit_test(test_each_id_finds_its_check_alone),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
