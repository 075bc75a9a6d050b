/* SPDX-License-Identifier: MIT */
/* A copy that catches up: whatever happened to the desk, afterwards it says what the desk says, and
 * each value that differed was told once. Seeds are printed; GW_SEED=seed has a failure again.
 */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "desk/catch_up.h"

enum { INPUTS = 6, MIXES = 4, ROUNDS = 200, MOST_MOVES = 30 };

static const struct desk_counts counts = {.of = {[INDEX_INPUT] = INPUTS, [INDEX_MIX] = MIXES}};

static struct desk *
new_desk(void)
{
    struct desk *desk = desk_new(&counts);

    desk_supply(desk, PARAM_SEND_LEVEL, SUPPLY_HEARD);
    desk_supply(desk, PARAM_INPUT_NAME, SUPPLY_HEARD);
    desk_supply(desk, PARAM_MIX_FADER, SUPPLY_HEARD);
    desk_supply(desk, PARAM_INPUT_PAD, SUPPLY_HEARD); /* without it, it would be taken as absent */
    return desk;
}

static void
ignore_stale(void *context, enum param_id id, int row, int column)
{
    (void)context;
    (void)id;
    (void)row;
    (void)column;
}

/* Something happens to a value, or to all. */
static void
shake(struct dice *dice, struct desk *desk, int64_t now_ms)
{
    int input = dice_below(dice, INPUTS), mix = dice_below(dice, MIXES);
    char name[20];

    snprintf(name, sizeof name, "Voice %d", dice_below(dice, 3));
    switch (dice_below(dice, 5)) {
    case 0:
        desk_set_text(desk, PARAM_INPUT_NAME, input, 0, name, now_ms);
        break;
    case 1:
        desk_set_stale(desk, PARAM_SEND_LEVEL, input, mix);
        break;
    case 2:
        desk_set(desk, PARAM_MIX_FADER, mix, 0, dice_below(dice, 4) - 2, now_ms);
        break;
    case 3:
        if (dice_below(dice, 20) == 0)
            desk_expire(desk, now_ms, ignore_stale, NULL);
        break;
    default:
        desk_set(desk, PARAM_SEND_LEVEL, input, mix, dice_below(dice, 4) - 2, now_ms);
    }
}

struct told {
    int count, most;
    bool send[INPUTS][MIXES];
};

static bool
tell(void *context, enum param_id id, int row, int column)
{
    struct told *told = context;

    if (told->count == told->most)
        return false;
    told->count++;
    if (id == PARAM_SEND_LEVEL) {
        assert_false(told->send[row][column]);
        told->send[row][column] = true;
    }
    return true;
}

static bool
same(const struct desk *one, const struct desk *other, enum param_id id, int row, int column)
{
    const struct value *a = desk_value(one, id, row, column);
    const struct value *b = desk_value(other, id, row, column);

    if (params[id].unit == UNIT_TEXT)
        return a->state == b->state &&
               strcmp(desk_text(one, id, row, column), desk_text(other, id, row, column)) == 0;
    return a->state == b->state && value_last_heard(a) == value_last_heard(b);
}

static int
differing(const struct desk *one, const struct desk *other)
{
    static const enum param_id ids[] = {PARAM_SEND_LEVEL, PARAM_INPUT_NAME, PARAM_MIX_FADER};
    int count = 0;

    for (size_t i = 0; i < COUNT(ids); i++)
        for (int row = 0; row < desk_rows(one, ids[i]); row++)
            for (int column = 0; column < desk_columns(one, ids[i]); column++)
                count += !same(one, other, ids[i], row, column);
    return count;
}

static void
test_it_says_what_the_desk_says(void **state)
{
    struct dice dice = dice_new();
    struct desk *desk = new_desk(), *behind = desk_copy(desk);

    (void)state;
    for (int round = 0; round < ROUNDS; round++) {
        struct told told = {.most = MOST_MOVES * INPUTS * MIXES};
        int expected;

        for (int move = dice_below(&dice, MOST_MOVES); move > 0; move--)
            shake(&dice, desk, round);
        expected = differing(behind, desk);
        assert_true(desk_catch_up(behind, desk, tell, &told));
        assert_int_equal(told.count, expected);
        assert_int_equal(differing(behind, desk), 0);
    }
    desk_free(desk);
    desk_free(behind);
}

static void
test_a_part_at_a_time(void **state)
{
    struct dice dice = dice_new();
    struct desk *desk = new_desk(), *behind = desk_behind(desk);
    int left;

    (void)state;
    for (int move = 0; move < 5 * MOST_MOVES; move++)
        shake(&dice, desk, move);
    for (left = differing(behind, desk); left > 3; left -= 3) {
        struct told told = {.most = 3};

        assert_false(desk_catch_up(behind, desk, tell, &told));
        assert_int_equal(differing(behind, desk), left - 3);
    }
    assert_true(desk_catch_up(behind, desk, tell, &(struct told){.most = 3}));
    assert_int_equal(differing(behind, desk), 0);
    desk_free(desk);
    desk_free(behind);
}

/* What is known of it at the beginning is told as well, whatever it is. */
static void
test_from_nothing(void **state)
{
    struct desk *desk = new_desk(), *behind;
    struct told told = {.most = 10};

    (void)state;
    desk_set(desk, PARAM_INPUT_PAD, 0, 0, 0, 1);
    desk_set_text(desk, PARAM_INPUT_NAME, 0, 0, "", 1);
    behind = desk_behind(desk);
    assert_true(desk_catch_up(behind, desk, tell, &told));
    assert_int_equal(told.count, 2);
    assert_true(value_is(desk_value(behind, PARAM_INPUT_PAD, 0, 0), 0));
    desk_free(desk);
    desk_free(behind);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_it_says_what_the_desk_says),
        cmocka_unit_test(test_a_part_at_a_time),
        cmocka_unit_test(test_from_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
