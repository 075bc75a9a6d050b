/* SPDX-License-Identifier: MIT */
/* The ladder shows the loudest path, climbs by hand-added steps, and says what it does not know. */
#include "rig.h"
#include "unit.h"

#include <math.h>
#include <string.h>

#include "sound/ladder.h"

static struct ladder
ladder(struct rig *rig, int input)
{
    struct ladder one;

    ladder_of(rig->desk, rig->show, input, &one);
    return one;
}

static void
it_climbs_the_loudest_path(void **state)
{
    struct rig *rig = *state;
    struct ladder one;

    rig_start(rig, 2, 3);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42);
    rig_set(rig, PARAM_INPUT_PAD, 0, 0, 10);
    rig_set(rig, PARAM_INPUT_TRIM, 0, 0, 3);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -20);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -14);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 2, -13);
    rig_set(rig, PARAM_SEND_TAP, 0, 1, TAP_POST_FADER);
    rig_set(rig, PARAM_INPUT_FADER, 0, 0, 5);
    rig_set(rig, PARAM_MIX_FADER, 1, 0, -2);
    one = ladder(rig, 0);
    assert_int_equal(one.state, LADDER_SHOWN);
    assert_int_equal(one.mix, 1); /* 5 - 14 - 2 = -11, above -13 and -20 */
    assert_near(one.level_db[RUNG_SOCKET], 0, 1e-9);
    assert_near(one.level_db[RUNG_PREAMP], 35, 1e-9); /* 42 - 10 + 3 */
    assert_near(one.level_db[RUNG_FADER], 40, 1e-9);
    assert_near(one.level_db[RUNG_SEND], 26, 1e-9);
    assert_near(one.level_db[RUNG_MASTER], 24, 1e-9);
    assert_near(one.behind_db, -11, 1e-9);
    assert_false(one.muted);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    assert_true(ladder(rig, 0).muted);
}

static void
of_two_as_loud_the_players_own(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 1, 3);
    for (int mix = 0; mix < 3; mix++)
        rig_set(rig, PARAM_SEND_LEVEL, 0, mix, -6);
    assert_int_equal(ladder(rig, 0).mix, 0);
    assert_false(ladder(rig, 0).own);
    strcpy(rig->show->inputs[0].player, "Ana");
    strcpy(rig->show->mixes[2].player, "ana");
    assert_int_equal(ladder(rig, 0).mix, 2);
    assert_true(ladder(rig, 0).own);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -5);
    assert_int_equal(ladder(rig, 0).mix, 1);
    assert_false(ladder(rig, 0).own);
}

static void
what_is_closed_or_not_known(void **state)
{
    struct rig *rig = *state;
    struct path_level level;

    rig_start(rig, 1, 2);
    assert_int_equal(ladder(rig, 0).state, LADDER_CLOSED);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -6);
    assert_int_equal(ladder(rig, 0).state, LADDER_SHOWN);
    desk_set_stale(rig->desk, PARAM_SEND_LEVEL, 0, 1);
    assert_int_equal(ladder(rig, 0).state, LADDER_NOT_KNOWN);
    assert_true(ladder_path(rig->desk, rig->show, 0, 0, &level));
    assert_near(level.sum_db, 24, 1e-9); /* 30 - 6 */
    assert_false(ladder_path(rig->desk, rig->show, 0, 1, &level));
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(it_climbs_the_loudest_path),
        RIG_TEST(of_two_as_loud_the_players_own),
        RIG_TEST(what_is_closed_or_not_known),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
