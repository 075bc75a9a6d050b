/* SPDX-License-Identifier: MIT */
/* The values of a parameter: one stands for all until one is written, and copies share them until
 * one of them writes. What is read must not tell which. */
#include "unit.h"

#include <math.h>
#include <stdlib.h>

#include "desk/desk.h"

enum { INPUTS = 120, MIXES = 50 };

static const struct desk_counts counts = {.of = {[INDEX_INPUT] = INPUTS, [INDEX_MIX] = MIXES}};

static int
make(void **state)
{
    *state = desk_new(&counts);
    return 0;
}

static int
drop(void **state)
{
    desk_free(*state);
    return 0;
}

static const struct value *
at(const struct desk *desk, int input, int mix)
{
    return desk_value(desk, PARAM_SEND_LEVEL, input, mix);
}

static void
one_value_stands_for_all_that_are_alike(void **state)
{
    struct desk *desk = *state;

    assert_ptr_equal(at(desk, 0, 0), at(desk, INPUTS - 1, MIXES - 1));
    desk_fix(desk, PARAM_SEND_TAP, TAP_PRE_FADER);
    assert_int_equal(desk_supplied(desk, PARAM_SEND_TAP), SUPPLY_FIXED);
    assert_ptr_equal(desk_value(desk, PARAM_SEND_TAP, 0, 0),
                     desk_value(desk, PARAM_SEND_TAP, INPUTS - 1, MIXES - 1));
    assert_near(value_last_heard(desk_value(desk, PARAM_SEND_TAP, 3, 4)), TAP_PRE_FADER, 0);
    assert_int_equal(desk_value(desk, PARAM_SEND_TAP, 3, 4)->state, VALUE_KNOWN);
}

static void
a_written_one_is_another_and_the_rest_stays(void **state)
{
    struct desk *desk = *state;

    desk_supply(desk, PARAM_SEND_LEVEL, SUPPLY_HEARD);
    assert_int_equal(desk_set(desk, PARAM_SEND_LEVEL, 7, 8, -6, 1), CHANGE_FIRST);
    for (int input = 0; input < INPUTS; input++)
        for (int mix = 0; mix < MIXES; mix++)
            assert_int_equal(at(desk, input, mix)->state,
                             input == 7 && mix == 8 ? VALUE_KNOWN : VALUE_UNKNOWN);
    assert_int_equal(desk_count_state(desk, VALUE_KNOWN), 1);
    desk_supply(desk, PARAM_SEND_LEVEL, SUPPLY_HEARD); /* forgets */
    assert_int_equal(desk_count_state(desk, VALUE_KNOWN), 0);
}

/* What is refused writes nothing, and so costs nothing. */
static void
a_refused_value_parts_no_copies(void **state)
{
    struct desk *desk = *state, *copy;

    desk_supply(desk, PARAM_SEND_LEVEL, SUPPLY_HEARD);
    desk_set(desk, PARAM_SEND_LEVEL, 0, 0, 0, 1);
    copy = desk_copy(desk);
    assert_int_equal(desk_set(copy, PARAM_SEND_LEVEL, 0, 0, NAN, 2), CHANGE_REFUSED);
    assert_int_equal(desk_set(copy, PARAM_SEND_LEVEL, INPUTS, 0, 0, 2), CHANGE_REFUSED);
    assert_int_equal(desk_set(copy, PARAM_SEND_LEVEL, 0, -1, 0, 2), CHANGE_REFUSED);
    desk_set_stale(copy, PARAM_SEND_LEVEL, 1, 1); /* was never heard */
    assert_ptr_equal(at(copy, 0, 0), at(desk, 0, 0));
    desk_free(copy);
}

static void
copies_share_until_one_writes(void **state)
{
    struct desk *desk = *state, *one, *two;

    desk_supply(desk, PARAM_SEND_LEVEL, SUPPLY_HEARD);
    desk_set(desk, PARAM_SEND_LEVEL, 2, 3, -10, 1);
    one = desk_copy(desk);
    two = desk_copy(one);
    assert_ptr_equal(at(one, 2, 3), at(desk, 2, 3));
    assert_ptr_equal(at(two, 2, 3), at(desk, 2, 3));
    desk_set(one, PARAM_SEND_LEVEL, 2, 3, -3, 2);
    assert_near(value_last_heard(at(one, 2, 3)), -3, 0);
    assert_near(value_last_heard(at(desk, 2, 3)), -10, 0);
    assert_near(value_last_heard(at(two, 2, 3)), -10, 0);
    desk_free(desk);
    *state = NULL;
    assert_near(value_last_heard(at(two, 2, 3)), -10, 0); /* alone now */
    desk_set_stale(two, PARAM_SEND_LEVEL, 2, 3);
    assert_int_equal(at(two, 2, 3)->state, VALUE_STALE);
    desk_carry(one, two);
    assert_ptr_equal(at(one, 2, 3), at(two, 2, 3));
    desk_free(two);
    assert_int_equal(at(one, 2, 3)->state, VALUE_STALE);
    desk_free(one);
}

/* Beside plain arrays, over any order of writes, copies and looks back. */
static void
reads_as_plain_arrays_do(void **state)
{
    enum { DESKS = 4, ROWS = 5, COLUMNS = 3, STEPS = 20000 };
    const struct desk_counts small = {.of = {[INDEX_INPUT] = ROWS, [INDEX_MIX] = COLUMNS}};
    struct value plain[DESKS][ROWS][COLUMNS] = {{{{0, 0, VALUE_UNKNOWN}}}};
    struct desk *desks[DESKS];
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        desks[i] = desk_new(&small);
        desk_supply(desks[i], PARAM_SEND_LEVEL, SUPPLY_HEARD);
    }
    for (int step = 0; step < STEPS; step++) {
        int i = dice_below(&dice, DESKS), from = dice_below(&dice, DESKS);
        int row = dice_below(&dice, ROWS), column = dice_below(&dice, COLUMNS);
        struct value *cell = &plain[i][row][column],
                     value = {-dice_below(&dice, 50), step, VALUE_KNOWN};

        switch (dice_below(&dice, 6)) {
        case 0:
            desk_carry(desks[i], desks[from]);
            for (int at = 0; at < ROWS * COLUMNS; at++)
                plain[i][at / COLUMNS][at % COLUMNS] = plain[from][at / COLUMNS][at % COLUMNS];
            break;
        case 1:
            desk_carry_value(desks[i], desks[from], PARAM_SEND_LEVEL, row, column);
            *cell = plain[from][row][column];
            break;
        case 2:
            desk_swap(desks[i], PARAM_SEND_LEVEL, row, column, &value);
            assert_int_equal(value.state, cell->state);
            *cell = *at(desks[i], row, column);
            assert_int_equal(cell->heard_ms, step);
            break;
        case 3:
            if (i != from) {
                desk_free(desks[i]);
                desks[i] = desk_copy(desks[from]);
                for (int at = 0; at < ROWS * COLUMNS; at++)
                    plain[i][at / COLUMNS][at % COLUMNS] = plain[from][at / COLUMNS][at % COLUMNS];
            }
            break;
        default:
            desk_set(desks[i], PARAM_SEND_LEVEL, row, column, value_last_heard(&value), step);
            *cell = value;
        }
        for (int at_row = 0; at_row < ROWS; at_row++)
            for (int at_column = 0; at_column < COLUMNS; at_column++) {
                const struct value *is = at(desks[i], at_row, at_column);
                const struct value *was = &plain[i][at_row][at_column];

                assert_near(value_last_heard(is), value_last_heard(was), 0);
                assert_int_equal(is->state, was->state);
                assert_int_equal(is->heard_ms, was->heard_ms);
            }
    }
    for (int i = 0; i < DESKS; i++)
        desk_free(desks[i]);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(one_value_stands_for_all_that_are_alike, make, drop),
        cmocka_unit_test_setup_teardown(a_written_one_is_another_and_the_rest_stays, make, drop),
        cmocka_unit_test_setup_teardown(a_refused_value_parts_no_copies, make, drop),
        cmocka_unit_test_setup_teardown(copies_share_until_one_writes, make, drop),
        cmocka_unit_test(reads_as_plain_arrays_do),
    };

    return cmocka_run_group_tests_name("shelf", tests, NULL, NULL);
}
