/* SPDX-License-Identifier: MIT */
/* Each remark where it belongs, and not a step before. */
#include "desk/source.h"
#include "rig.h"
#include "ring_rig.h"

#include <math.h>

static int
setup(void **state)
{
    static struct ring_rig rig;

    ring_rig_setup(&rig);
    *state = &rig;
    return 0;
}

static int
teardown(void **state)
{
    ring_rig_teardown(*state);
    return 0;
}

/* Raised once; then the remark was told so often, with that figure, and no other remark. */
static void
check_first_push(struct ring_rig *rig, enum ring_kind kind, int times, double db)
{
    ring_rig_again(rig, true);
    ring_up(rig, 5000, 1);
    ring_up(rig, 5000, 1);
    assert_int_equal(ring_told(rig, kind), times);
    assert_int_equal(ring_remarks(rig), times);
    if (times > 0)
        assert_near(ring_last(rig, kind)->db, db, 1e-9);
}

static void
the_preamp_starts_high(void **state)
{
    struct ring_rig *rig = *state;

    proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, 10);
    check_first_push(rig, RING_STARTS_HIGH, 0, 0);
    proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, 11);
    check_first_push(rig, RING_STARTS_HIGH, 1, 12);
}

static void
one_leap_up_is_a_high_start_and_not_too_fast(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 5000, 26);
    assert_int_equal(ring_told(rig, RING_STARTS_HIGH), 1);
    assert_int_equal(ring_remarks(rig), 1);
    ring_up(rig, 100, 4);
    assert_int_equal(ring_told(rig, RING_FAST), 1);
}

static void
without_a_known_end_stop_no_start_is_high(void **state)
{
    struct ring_rig *rig = *state;

    desk_set_travel(rig->desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){NAN, NAN});
    proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, 30);
    check_first_push(rig, RING_STARTS_HIGH, 0, 0);
}

static void
the_own_send_is_not_at_0(void **state)
{
    struct ring_rig *rig = *state;

    proof_put(rig->desk, PARAM_SEND_LEVEL, 0, 0, -0.5);
    check_first_push(rig, RING_OWN_SEND, 0, 0);
    proof_put(rig->desk, PARAM_SEND_LEVEL, 0, 0, -10);
    check_first_push(rig, RING_OWN_SEND, 1, -10);
}

static void
who_raises_the_send_has_it_elsewhere(void **state)
{
    struct ring_rig *rig = *state;

    proof_put(rig->desk, PARAM_SEND_LEVEL, 0, 0, -10);
    proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, 30);
    ring_rig_again(rig, true);
    ring_wait(rig, 5000);
    ring_move(rig, PARAM_SEND_LEVEL, 0, 0, -9);
    assert_int_equal(ring_told(rig, RING_RISE), 1);
    assert_int_equal(ring_remarks(rig), 0);
}

static void
the_master_is_not_at_0(void **state)
{
    struct ring_rig *rig = *state;

    proof_put(rig->desk, PARAM_MIX_FADER, 0, 0, -5);
    check_first_push(rig, RING_MASTER_OFF_UNITY, 1, -5);
    assert_int_equal(ring_kind_weight(RING_MASTER_OFF_UNITY), RING_ADVICE);
}

static void
another_microphone_is_open(void **state)
{
    struct ring_rig *rig = *state;

    proof_put(rig->desk, PARAM_INPUT_MUTE, 2, 0, 0);
    ring_rig_again(rig, true);
    ring_up(rig, 5000, 1);
    assert_int_equal(ring_told(rig, RING_OTHER_OPEN), 1);
    assert_int_equal(ring_last(rig, RING_OTHER_OPEN)->input, 2);
    assert_int_equal(ring_remarks(rig), 1);
}

static void
a_line_source_may_be_open(void **state)
{
    struct ring_rig *rig = *state;

    proof_put(rig->desk, PARAM_INPUT_MUTE, 2, 0, 0);
    rig->show->inputs[2].source = rig_source("playback");
    check_first_push(rig, RING_OTHER_OPEN, 0, 0);
}

/* Into what is not used somebody may have plugged a microphone. */
static void
an_unused_input_may_not(void **state)
{
    struct ring_rig *rig = *state;

    proof_put(rig->desk, PARAM_INPUT_MUTE, 2, 0, 0);
    rig->show->inputs[2].source = SOURCE_UNUSED;
    ring_rig_again(rig, true);
    ring_up(rig, 5000, 1);
    assert_int_equal(ring_last(rig, RING_OTHER_OPEN)->input, 2);
}

static void
the_high_pass_is_off(void **state)
{
    struct ring_rig *rig = *state;

    proof_put(rig->desk, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    ring_rig_again(rig, true);
    ring_up(rig, 5000, 1);
    ring_up(rig, 5000, 1);
    assert_int_equal(ring_told(rig, RING_HIGH_PASS_OFF), 1);
    assert_int_equal(ring_remarks(rig), 1);
}

static void
three_db_in_a_second_are_not_too_fast(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 5000, 1);
    ring_up(rig, 400, 1);
    ring_up(rig, 400, 1);
    ring_up(rig, 200, 1); /* the first one is a second ago */
    assert_int_equal(ring_told(rig, RING_FAST), 0);
    ring_up(rig, 300, 1);
    assert_int_equal(ring_told(rig, RING_FAST), 1);
    assert_near(ring_last(rig, RING_FAST)->db, 4, 1e-9);
    ring_up(rig, 100, 1);
    assert_int_equal(ring_told(rig, RING_FAST), 1); /* said once */
}

static void
many_small_steps_are_counted_together(void **state)
{
    struct ring_rig *rig = *state;

    for (int i = 0; i < 60; i++)
        ring_up(rig, 20, 0.05); /* 2.5 dB in a second */
    assert_int_equal(ring_told(rig, RING_FAST), 0);
    for (int i = 0; i < 60; i++)
        ring_up(rig, 20, 0.1);
    assert_int_equal(ring_told(rig, RING_FAST), 1);
}

static void
six_db_at_once_are_not_too_deep(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 5000, 1);
    ring_cut(rig, 800, 5, -6);
    ring_cut(rig, 1500, 5, -9); /* another turn of the hand */
    assert_int_equal(ring_told(rig, RING_DEEP), 0);
    ring_up(rig, 5000, 1);
    for (int db = 1; db <= 7; db++) /* one turn, in steps */
        ring_cut(rig, 50, 2, -db);
    assert_int_equal(ring_told(rig, RING_DEEP), 1);
    assert_near(ring_last(rig, RING_DEEP)->db, 7, 1e-9);
    assert_near(ring_last(rig, RING_DEEP)->hz, 125, 1);
}

static void
two_neighbours_for_one_ring(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 5000, 1);
    ring_cut(rig, 800, 5, -3);
    ring_cut(rig, 999, 6, -3);
    assert_int_equal(ring_told(rig, RING_TWO_FOR_ONE), 1);
    assert_near(ring_last(rig, RING_TWO_FOR_ONE)->hz, 1000, 1);
    assert_near(ring_last(rig, RING_TWO_FOR_ONE)->other_hz, 2000, 1);
    ring_cut(rig, 2000, 5, -5); /* deeper, both of them: still that ring */
    ring_cut(rig, 0, 6, -5);
    assert_int_equal(ringing_state(rig->ringing)->mixes[0].rings, 1);
    assert_int_equal(ringing_state(rig->ringing)->mixes[0].cuts, 1);
    assert_int_equal(ring_remarks(rig), 1);
}

static void
a_second_later_it_is_another_ring(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 5000, 1);
    ring_cut(rig, 800, 5, -3);
    ring_cut(rig, 1000, 6, -3);
    assert_int_equal(ring_remarks(rig), 0);
    assert_int_equal(ringing_state(rig->ringing)->mixes[0].rings, 2);
    assert_int_equal(ringing_state(rig->ringing)->mixes[0].cuts, 2);
}

static void
bands_apart_cannot_both_have_rung(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 5000, 1);
    ring_cut(rig, 800, 8, -3);
    ring_cut(rig, 0, 5, -3);
    assert_int_equal(ring_told(rig, RING_NOT_RUNG), 1);
    assert_int_equal(ring_remarks(rig), 1);
    assert_true(isnan(ringing_state(rig->ringing)->rings[0].hz));
    assert_int_equal(ringing_proofs(rig->ringing)->ring_count, 0);
}

static void
ring_and_cut(struct ring_rig *rig, int band, double db)
{
    ring_up(rig, 4000, 0.5);
    ring_cut(rig, 800, band, db);
}

static void
the_fourth_of_6_db(void **state)
{
    struct ring_rig *rig = *state;

    for (int band = 1; band <= 3; band++)
        ring_and_cut(rig, band, -6);
    ring_and_cut(rig, 4, -3);
    assert_int_equal(ring_told(rig, RING_FOUR_DEEP), 0);
    ring_and_cut(rig, 4, -6);
    assert_int_equal(ring_told(rig, RING_FOUR_DEEP), 1);
}

static void
the_seventh_and_the_eighth(void **state)
{
    struct ring_rig *rig = *state;

    for (int band = 0; band < 6; band++)
        ring_and_cut(rig, band, -3);
    assert_int_equal(ring_remarks(rig), 0);
    ring_and_cut(rig, 6, -3);
    assert_int_equal(ring_told(rig, RING_QUIETER), 1);
    assert_true(ring_last(rig, RING_QUIETER)->db > 1);
    assert_near(ring_last(rig, RING_QUIETER)->won_db, 3, 1e-9);
    assert_int_equal(ring_remarks(rig), 1);
    ring_and_cut(rig, 7, -3);
    ring_and_cut(rig, 8, -3);
    assert_int_equal(ring_told(rig, RING_MANY), 1);
    assert_int_equal(ring_remarks(rig), 2);
}

static void
left_at_its_ring(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 5000, 10);
    ring_up(rig, 2000, -2);
    ringing_end(rig->ringing, rig->now_ms + 5000);
    ring_wait(rig, 0);
    ring_wait(rig, 5000);
    assert_int_equal(ring_told(rig, RING_NO_STEP_BACK), 1);
    assert_near(ring_last(rig, RING_NO_STEP_BACK)->db, 2, 1e-9);
}

static void
three_db_back_are_taught_too(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 5000, 10);
    ring_up(rig, 2000, -3);
    ringing_end(rig->ringing, rig->now_ms + 500);
    ring_wait(rig, 600);
    assert_int_equal(ring_told(rig, RING_NO_STEP_BACK), 0);
    assert_near(ring_last(rig, RING_STEP_BACK)->db, 3, 1e-9);
}

static void
closing_it_is_no_step_back(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 5000, 10);
    ring_cut(rig, 800, 5, -3);
    ring_move(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    ring_move(rig, PARAM_MIX_FADER, 0, 0, -HUGE_VAL);
    ring_move(rig, PARAM_MIX_FADER, 1, 0, 0);
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 0);
    assert_int_equal(ring_told(rig, RING_NO_STEP_BACK), 1);
    assert_int_equal(ring_last(rig, RING_NO_STEP_BACK)->mix, 0);
    assert_int_equal(ring_told(rig, RING_HAND), 0);
}

#define TEST(test) cmocka_unit_test_setup_teardown(test, setup, teardown)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_preamp_starts_high),
        TEST(one_leap_up_is_a_high_start_and_not_too_fast),
        TEST(without_a_known_end_stop_no_start_is_high),
        TEST(the_own_send_is_not_at_0),
        TEST(who_raises_the_send_has_it_elsewhere),
        TEST(the_master_is_not_at_0),
        TEST(another_microphone_is_open),
        TEST(a_line_source_may_be_open),
        TEST(an_unused_input_may_not),
        TEST(the_high_pass_is_off),
        TEST(three_db_in_a_second_are_not_too_fast),
        TEST(many_small_steps_are_counted_together),
        TEST(six_db_at_once_are_not_too_deep),
        TEST(two_neighbours_for_one_ring),
        TEST(a_second_later_it_is_another_ring),
        TEST(bands_apart_cannot_both_have_rung),
        TEST(the_fourth_of_6_db),
        TEST(the_seventh_and_the_eighth),
        TEST(left_at_its_ring),
        TEST(three_db_back_are_taught_too),
        TEST(closing_it_is_no_step_back),
    };

    return cmocka_run_group_tests_name("ring_mistakes", tests, NULL, NULL);
}
