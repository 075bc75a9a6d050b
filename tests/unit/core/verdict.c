/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include "core/verdict.h"

static void
up_weighs_one_step_more_and_fix_at_most(void **state)
{
    (void)state;
    assert_int_equal(weight_up(WEIGHT_NOTE), WEIGHT_FIX);
    assert_int_equal(weight_up(WEIGHT_FIX), WEIGHT_FIX);
    assert_int_equal(weight_up(WEIGHT_STOP), WEIGHT_STOP); /* what was more stays so */
}

static void
weights_are_found_by_name(void **state)
{
    (void)state;
    for (int weight = 0; weight < WEIGHTS; weight++)
        assert_int_equal(weight_find(weight_name((enum weight)weight)), weight);
    assert_int_equal(weight_find("Fix"), WEIGHTS);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(up_weighs_one_step_more_and_fix_at_most),
        cmocka_unit_test(weights_are_found_by_name),
    };

    return cmocka_run_group_tests_name("verdict", tests, NULL, NULL);
}
