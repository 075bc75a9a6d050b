/* SPDX-License-Identifier: MIT */
/* The surplus on random desks against sums made here from the values: what the loudest path takes
 * away again, trim, make-up, faders, groups, masters and the house counted, as far as the preamp
 * goes down.
 */
#include "sound/surplus.h"

#include <math.h>

#include "check/check.h"
#include "unit.h"

enum { ROUNDS = 4000, INPUTS = 3, MIXES = 3, GROUPS = 2 };

static const enum param_id reads[] = {SURPLUS_READS, PARAMS};

static double
some_db(struct dice *dice)
{
    return dice_below(dice, 9) == 0 ? -HUGE_VAL : round(dice_between(dice, -30, 8));
}

static void
set(struct desk *desk, enum param_id id, int row, int column, double number)
{
    assert_int_not_equal(desk_set(desk, id, row, column, number, 1), CHANGE_REFUSED);
}

static void
fill_input(struct desk *desk, struct dice *dice, int input)
{
    set(desk, PARAM_INPUT_MUTE, input, 0, dice_below(dice, 5) == 0);
    set(desk, PARAM_INPUT_PREAMP, input, 0, dice_below(dice, 2));
    set(desk, PARAM_INPUT_PREAMP_GAIN, input, 0, dice_between(dice, 0, 60));
    set(desk, PARAM_INPUT_TRIM, input, 0, dice_between(dice, -12, 12));
    set(desk, PARAM_INPUT_FADER, input, 0, some_db(dice));
    set(desk, PARAM_INPUT_COMP_ON, input, 0, dice_below(dice, 2));
    set(desk, PARAM_INPUT_COMP_MAKEUP, input, 0, dice_between(dice, 0, 12));
    for (int group = 0; group < GROUPS; group++)
        set(desk, PARAM_INPUT_GROUP, input, group, dice_below(dice, 3) == 0);
    for (int mix = 0; mix < MIXES; mix++) {
        set(desk, PARAM_SEND_ON, input, mix, dice_below(dice, 6) > 0);
        set(desk, PARAM_SEND_LEVEL, input, mix, some_db(dice));
        set(desk, PARAM_SEND_TAP, input, mix, dice_below(dice, 3));
    }
}

static struct desk *
random_desk(struct dice *dice)
{
    const struct desk_counts counts = {
        .of = {[INDEX_INPUT] = INPUTS, [INDEX_MIX] = MIXES, [INDEX_GROUP] = GROUPS}};
    struct desk *desk = desk_new(&counts);

    for (const enum param_id *id = reads; *id != PARAMS; id++)
        desk_supply(desk, *id, SUPPLY_HEARD);
    for (int input = 0; input < INPUTS; input++) {
        set(desk, PARAM_INPUT_PAD, input, 0, 0);
        fill_input(desk, dice, input);
    }
    for (int group = 0; group < GROUPS; group++) {
        set(desk, PARAM_GROUP_FADER, group, 0, some_db(dice));
        set(desk, PARAM_GROUP_MUTE, group, 0, dice_below(dice, 6) == 0);
    }
    for (int mix = 0; mix < MIXES; mix++) {
        set(desk, PARAM_MIX_FADER, mix, 0, some_db(dice));
        set(desk, PARAM_MIX_TRIM, mix, 0, dice_between(dice, -3, 3));
    }
    if (dice_below(dice, 2))
        desk_set_travel(desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){-6, 60});
    return desk;
}

/* ---- the same by hand ---- */

static double
of(const struct desk *desk, enum param_id id, int row, int column)
{
    return value_last_heard(desk_value(desk, id, row, column));
}

static double
faders_of(const struct desk *desk, int input)
{
    double sum_db = of(desk, PARAM_INPUT_FADER, input, 0);

    for (int group = 0; group < GROUPS; group++)
        if (of(desk, PARAM_INPUT_GROUP, input, group) != 0)
            sum_db += of(desk, PARAM_GROUP_MUTE, group, 0) != 0
                          ? -HUGE_VAL
                          : of(desk, PARAM_GROUP_FADER, group, 0);
    return sum_db;
}

static double
gains_of(const struct desk *desk, int input, bool compressed)
{
    double makeup_db = of(desk, PARAM_INPUT_COMP_MAKEUP, input, 0);

    return of(desk, PARAM_INPUT_TRIM, input, 0) +
           (compressed && of(desk, PARAM_INPUT_COMP_ON, input, 0) != 0 ? makeup_db : 0);
}

/* From the preamp to the send, without the master. */
static double
sent_of(const struct desk *desk, int input, int mix)
{
    double tap = of(desk, PARAM_SEND_TAP, input, mix);

    if (of(desk, PARAM_SEND_ON, input, mix) == 0)
        return -HUGE_VAL;
    return gains_of(desk, input, tap != TAP_PRE_EQ) + of(desk, PARAM_SEND_LEVEL, input, mix) +
           (tap == TAP_POST_FADER ? faders_of(desk, input) : 0);
}

struct expected {
    double loudest_db, house_db;
    bool parked;
};

static struct expected
expect(const struct desk *desk, int input)
{
    struct expected expected = {-HUGE_VAL, -HUGE_VAL, false};

    for (int i = 0; i < INPUTS; i++) {
        if (of(desk, PARAM_INPUT_PREAMP, i, 0) != of(desk, PARAM_INPUT_PREAMP, input, 0) ||
            of(desk, PARAM_INPUT_MUTE, i, 0) != 0)
            continue;
        expected.house_db = fmax(expected.house_db, faders_of(desk, i) + gains_of(desk, i, true));
        for (int mix = 0; mix < MIXES; mix++) {
            double sent_db = sent_of(desk, i, mix), master_db = of(desk, PARAM_MIX_FADER, mix, 0);

            expected.parked |= sent_db > -HUGE_VAL && master_db == -HUGE_VAL;
            expected.loudest_db =
                fmax(expected.loudest_db, sent_db + master_db + of(desk, PARAM_MIX_TRIM, mix, 0));
        }
    }
    return expected;
}

static void
compare(const struct desk *desk, const struct show *show, int input)
{
    struct expected expected = expect(desk, input);
    struct verdict verdict;
    struct look look = look_reader(desk, show, reads, &verdict);
    bool house = show->role == ROLE_HOUSE;
    double least_db = desk_travel(desk, PARAM_INPUT_PREAMP_GAIN).least, used_db;
    struct surplus surplus;

    assert_true(surplus_of(&look, input, &surplus));
    assert_int_equal(surplus.open, expected.loudest_db > -HUGE_VAL);
    if (!surplus.open)
        return;
    assert_near(surplus.loudest_db, expected.loudest_db, 1e-9);
    assert_int_equal(surplus.unsettled,
                     expected.parked || (house && expected.house_db == -HUGE_VAL));
    used_db = house ? fmax(expected.loudest_db, expected.house_db) : expected.loudest_db;
    assert_near(surplus.surplus_db,
                fmax(0, fmin(-used_db, of(desk, PARAM_INPUT_PREAMP_GAIN, input, 0) -
                                           (isnan(least_db) ? 0 : least_db))),
                1e-9);
}

static void
surplus_is_what_the_loudest_path_takes_away(void **state)
{
    static const enum role roles[] = {ROLE_UNKNOWN, ROLE_MONITOR, ROLE_HOUSE};
    struct show *show = check_set_show(check_set_all, INPUTS, MIXES);
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < ROUNDS; round++) {
        struct desk *desk = random_desk(&dice);

        show->role = roles[dice_below(&dice, 3)];
        for (int input = 0; input < INPUTS; input++)
            compare(desk, show, input);
        desk_free(desk);
    }
    show_free(show);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(surplus_is_what_the_loudest_path_takes_away),
    };

    return cmocka_run_group_tests_name("surplus", tests, NULL, NULL);
}
