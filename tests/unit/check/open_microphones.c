/* SPDX-License-Identifier: MIT */
/* How many microphones are open into a mix, and what they cost by the powers of their sends. */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "rig.h"

enum { INPUTS = 20 };

static const char check[] = "open-microphones";

/* Mix 1 is a wedge, mix 2 feeds ears. Two microphones are enough for a finding, so that its figures
 * can be seen. */
static struct rig *
start(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, INPUTS, 2);
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Ld Vox wedge");
    rig_set_text(rig, PARAM_MIX_NAME, 1, "Drums IEM");
    for (int input = 0; input < INPUTS; input++)
        rig_set_text(rig, PARAM_INPUT_NAME, input, "BV");
    rig->show->checks[check_find(check)].settings[0] = 2;
    return rig;
}

static void
open_some(struct rig *rig, int first, int count, double db)
{
    for (int input = first; input < first + count; input++)
        rig_set(rig, PARAM_SEND_LEVEL, input, 0, db);
}

static double
lost_db(struct rig *rig)
{
    return rig_figure(rig_judge_mix(rig, check, 0), "margin_lost_db");
}

/* ProSoundWeb, "Primer: Acoustic Characteristics of Live Sound Reinforcement", p. 6: a gain of 20
 * dB with one microphone is 17 dB with two and 14 dB with four. AudioTechnology no. 62, PAG-NAG: 20
 * open microphones lose 13 dB. Each as printed, to whole decibels. */
static void
published_figures_of_equal_microphones(void **state)
{
    static const struct {
        int count;
        double gain_of_one_db, gain_db;
    } rows[] = {{2, 20, 17}, {4, 20, 14}, {20, 0, -13}};
    struct rig *rig = start(state);

    for (size_t i = 0; i < COUNT(rows); i++) {
        open_some(rig, 0, rows[i].count, -6);
        assert_near(rows[i].gain_of_one_db - lost_db(rig), rows[i].gain_db, 0.03);
        assert_near(rig_figure(&rig->verdict, "microphones_count"), rows[i].count, 0);
    }
}

/* The same primer: 3 dB a doubling. Here the second half is as loud as the first, whatever mixture
 * that is. */
static void
each_doubling_costs_three_decibels(void **state)
{
    struct dice dice = dice_new();
    struct rig *rig = start(state);

    for (int round = 0; round < 30; round++) {
        int half = 2 + dice_below(&dice, INPUTS / 2 - 1);
        double one_db;

        open_some(rig, 0, INPUTS, -HUGE_VAL);
        for (int input = 0; input < half; input++)
            open_some(rig, input, 1, dice_between(&dice, -30, 10));
        one_db = lost_db(rig);
        for (int input = 0; input < half; input++)
            open_some(rig, half + input, 1,
                      value_last_heard(desk_value(rig->desk, PARAM_SEND_LEVEL, input, 0)));
        assert_near(lost_db(rig) - one_db, 3, 0.02);
    }
}

/* Sums worked out by hand: 10 log10(1 + 10 x 10^-3), 10 log10(8 + 3 x 10^-1). */
static void
soft_ones_cost_little(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    open_some(rig, 0, 1, 0);
    open_some(rig, 1, 10, -30);
    verdict = rig_judge_mix(rig, check, 0);
    assert_near(rig_figure(verdict, "microphones_count"), 11, 0);
    assert_near(rig_figure(verdict, "margin_lost_db"), 0.0432, 5e-5);
    assert_contains(rig->words.says,
                    "11 microphones are open into the mix: by the powers of their "
                    "sends they cost less than 0.1 dB of margin against the loudest");
    open_some(rig, 0, 8, 3);
    open_some(rig, 8, 3, -7);
    assert_near(lost_db(rig), 9.1908, 5e-5);
    assert_contains(rig->words.says, "11 microphones are open into the mix: by the powers of "
                                     "their sends they cost 9.2 dB of margin");
}

static void
ten_are_a_note(void **state)
{
    struct rig *rig = start(state);

    rig->show->checks[check_find(check)].settings[0] = 10;
    open_some(rig, 0, 9, -10);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    open_some(rig, 9, 1, -10);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
    assert_int_equal(rig->verdict.weight, WEIGHT_NOTE);
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_NOT_ASKED); /* in-ears */
}

static void
one_preamp_is_one_microphone(void **state)
{
    struct rig *rig = start(state);

    rig_forget(rig, PARAM_INPUT_PREAMP, SUPPLY_HEARD);
    for (int input = 0; input < INPUTS; input++)
        rig_set(rig, PARAM_INPUT_PREAMP, input, 0, input);
    open_some(rig, 0, 3, 0);
    assert_near(lost_db(rig), 4.7712, 5e-5);
    rig_set(rig, PARAM_INPUT_PREAMP, 2, 0, 1); /* a doubled channel */
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, -10);
    assert_near(lost_db(rig), 3.0103, 5e-5); /* it counts by the louder one */
    assert_near(rig_figure(&rig->verdict, "microphones_count"), 2, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 2, 0, -10);
    assert_near(lost_db(rig), 3.0103, 5e-5);
}

static void
a_send_that_follows_its_fader_counts_behind_it(void **state)
{
    struct rig *rig = start(state);

    open_some(rig, 0, 2, 0);
    rig_set(rig, PARAM_SEND_TAP, 1, 0, TAP_POST_FADER);
    rig_set(rig, PARAM_INPUT_FADER, 1, 0, -10);
    assert_near(lost_db(rig), 0.4139, 5e-5); /* 10 log10 1.1 */
    rig_set(rig, PARAM_INPUT_GROUP, 1, 0, 1);
    rig_set(rig, PARAM_GROUP_FADER, 0, 0, -10);
    assert_near(lost_db(rig), 0.0432, 5e-5); /* 10 log10 1.01 */
    rig_set(rig, PARAM_INPUT_FADER, 1, 0, -40);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS); /* too soft to count */
}

static void
what_is_no_open_microphone_does_not_count(void **state)
{
    struct rig *rig = start(state);

    open_some(rig, 0, 2, -10);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Bass DI"); /* a line */
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Spare");
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "BV");
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -40); /* too soft to count */
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -39);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(published_figures_of_equal_microphones),
        RIG_TEST(each_doubling_costs_three_decibels),
        RIG_TEST(soft_ones_cost_little),
        RIG_TEST(ten_are_a_note),
        RIG_TEST(one_preamp_is_one_microphone),
        RIG_TEST(a_send_that_follows_its_fader_counts_behind_it),
        RIG_TEST(what_is_no_open_microphone_does_not_count),
    };

    return cmocka_run_group_tests_name("open_microphones", tests, NULL, NULL);
}
