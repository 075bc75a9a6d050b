/* SPDX-License-Identifier: MIT */
/* All together: from 12 dB down, up in small steps, back, and then each mix pushed alone. */
#include "ring_rig.h"

#include <math.h>

enum { STEP_MS = 2 * RING_STANDS_MS };

/* Three mixes that were rung out, each with its microphone; mix 2 is at work and stepped back. */
static int
setup(void **state)
{
    static struct ring_rig rig;

    ring_rig_setup(&rig);
    for (int i = 0; i < 3; i++) {
        ring_move(&rig, PARAM_INPUT_MUTE, i, 0, 0);
        ring_move(&rig, PARAM_MIX_FADER, i, 0, 0);
        ring_wait(&rig, STEP_MS);
        ring_move(&rig, PARAM_INPUT_PREAMP_GAIN, i, 0, 2);
        ring_wait(&rig, STEP_MS);
        ring_move(&rig, PARAM_INPUT_PREAMP_GAIN, i, 0, 4);
        ring_wait(&rig, 1000);
        ring_move(&rig, PARAM_INPUT_PREAMP_GAIN, i, 0, -2 + 0.001);
        ring_wait(&rig, STEP_MS);
        if (i == 2)
            break;
        ring_move(&rig, PARAM_INPUT_MUTE, i, 0, 1);
        ring_move(&rig, PARAM_MIX_FADER, i, 0, -HUGE_VAL);
    }
    assert_int_equal(ring_remarks(&rig), 0);
    *state = &rig;
    return 0;
}

static int
teardown(void **state)
{
    ring_rig_teardown(*state);
    return 0;
}

static void
open_all(struct ring_rig *rig)
{
    for (int mix = 0; mix < 3; mix++)
        ring_move(rig, PARAM_MIX_FADER, mix, 0, -12);
    for (int input = 0; input < 3; input++)
        ring_move(rig, PARAM_INPUT_MUTE, input, 0, 0);
    ring_wait(rig, 1000);
}

static void
masters(struct ring_rig *rig, double db)
{
    for (int mix = 0; mix < 3; mix++) {
        double was = value_number(desk_value(rig->desk, PARAM_MIX_FADER, mix, 0));

        ring_move(rig, PARAM_MIX_FADER, mix, 0, was + db);
    }
}

static const struct proof_ceiling *
whole(const struct ring_rig *rig, int at)
{
    const struct proofs *proofs = ringing_proofs(rig->ringing);

    for (int i = 0; i < proofs->ceiling_count; i++)
        if (proofs->ceilings[i].mix < 0 && at-- == 0)
            return &proofs->ceilings[i];
    return NULL;
}

static double
master_db(const struct desk *desk, int mix)
{
    return value_number(desk_value(desk, PARAM_MIX_FADER, mix, 0));
}

static void
it_begins_with_the_masters_down(void **state)
{
    struct ring_rig *rig = *state;

    assert_int_equal(ring_next_of(rig), RING_NEXT_VOICE);
    ring_wait(rig, 40000);
    assert_int_equal(ring_next_of(rig), RING_NEXT_MASTERS_DOWN);
    ring_move(rig, PARAM_MIX_FADER, 0, 0, -12);
    assert_int_equal(ring_told(rig, RING_TOGETHER), 1);
    assert_int_equal(ring_next_of(rig), RING_NEXT_MASTERS_DOWN);
    ring_move(rig, PARAM_MIX_FADER, 1, 0, -12);
    ring_move(rig, PARAM_MIX_FADER, 2, 0, -12);
    assert_int_equal(ring_next_of(rig), RING_NEXT_OPEN_ALL);
    ring_move(rig, PARAM_INPUT_MUTE, 0, 0, 0);
    assert_int_equal(ring_next_of(rig), RING_NEXT_OPEN_ALL);
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 0);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RAISE_TOGETHER);
    assert_int_equal(ring_remarks(rig), 0);
    assert_true(ringing_state(rig->ringing)->together);
}

static void
a_master_that_is_up_is_warned_of_before_anything_rises(void **state)
{
    struct ring_rig *rig = *state;

    ring_move(rig, PARAM_MIX_FADER, 0, 0, -12);
    ring_move(rig, PARAM_INPUT_MUTE, 0, 0, 0); /* while mix 2 still stands at 0 */
    assert_int_equal(ring_told(rig, RING_TOGETHER_HIGH), 1);
    assert_int_equal(ring_last(rig, RING_TOGETHER_HIGH)->mix, 2);
    assert_near(ring_last(rig, RING_TOGETHER_HIGH)->db, 12, 1e-9);
    assert_int_equal(ring_kind_weight(RING_TOGETHER_HIGH), RING_WARNING);
}

static void
a_mix_that_opens_up_high_is_too(void **state)
{
    struct ring_rig *rig = *state;

    ring_move(rig, PARAM_MIX_FADER, 2, 0, -12);
    ring_move(rig, PARAM_MIX_FADER, 0, 0, -12);
    ring_move(rig, PARAM_MIX_FADER, 1, 0, -6);
    assert_int_equal(ring_told(rig, RING_TOGETHER_HIGH), 1);
    assert_int_equal(ring_last(rig, RING_TOGETHER_HIGH)->mix, 1);
    assert_near(ring_last(rig, RING_TOGETHER_HIGH)->db, 6, 1e-9);
}

static void
the_whole_stage_has_its_ceiling(void **state)
{
    struct ring_rig *rig = *state;

    open_all(rig);
    for (int i = 0; i < 4; i++) {
        ring_wait(rig, STEP_MS);
        masters(rig, 0.5);
    }
    assert_int_equal(ring_last(rig, RING_RISE)->mix, -1);
    assert_int_equal(ring_last(rig, RING_PROVED)->mix, -1);
    assert_non_null(whole(rig, 0));
    for (int mix = 0; mix < 3; mix++)
        assert_near(master_db(whole(rig, 0)->desk, mix), -10.5, 1e-9);
    assert_near(whole(rig, 0)->step_db, 0.5, 1e-9);
    ring_wait(rig, 500);
    masters(rig, -6);
    assert_int_equal(ring_told(rig, RING_LAST_PUSH), 4);
    assert_int_equal(ring_last(rig, RING_STEP_BACK)->mix, -1);
    assert_near(ring_last(rig, RING_STEP_BACK)->db, 6, 1e-9);
    assert_near(ringing_state(rig->ringing)->mixes[1].proved_db, 5.5, 0.01);
    assert_near(ringing_state(rig->ringing)->mixes[1].less_db, 1, 1e-9);
    assert_int_equal(ring_remarks(rig), 0);
}

static void
half_way_back_the_rest_is_asked_for(void **state)
{
    struct ring_rig *rig = *state;

    open_all(rig);
    ring_wait(rig, STEP_MS);
    masters(rig, 0.5);
    ring_wait(rig, 500);
    masters(rig, -2);
    assert_int_equal(ring_next_of(rig), RING_NEXT_STEP_BACK);
    assert_near(ringing_state(rig->ringing)->next_db, 4, 1e-9);
    assert_int_equal(ringing_state(rig->ringing)->next_mix, -1);
    ringing_end(rig->ringing, rig->now_ms);
    ring_wait(rig, 0);
    ring_wait(rig, 100);
    assert_int_equal(ring_told(rig, RING_NO_STEP_BACK), 1);
}

static void
above_6_db_it_is_far_enough(void **state)
{
    struct ring_rig *rig = *state;

    open_all(rig);
    for (int i = 0; i < 18; i++) {
        ring_wait(rig, STEP_MS);
        masters(rig, 1);
    }
    assert_int_equal(ring_remarks(rig), 0);
    assert_int_equal(ring_next_of(rig), RING_NEXT_STEP_BACK); /* 6 dB above where they stood */
    assert_near(ringing_state(rig->ringing)->next_db, 6, 1e-9);
    ring_wait(rig, STEP_MS);
    masters(rig, 1);
    assert_int_equal(ring_told(rig, RING_PUSHED_FAR), 1);
}

static void
masters_that_leap_together_are_too_fast(void **state)
{
    struct ring_rig *rig = *state;

    open_all(rig);
    ring_wait(rig, STEP_MS);
    masters(rig, 3);
    assert_int_equal(ring_told(rig, RING_FAST), 0);
    ring_wait(rig, 500);
    masters(rig, 0.5);
    assert_int_equal(ring_told(rig, RING_FAST), 1);
}

/* Up to -10 dB and back. */
static void
together_and_back(struct ring_rig *rig)
{
    open_all(rig);
    for (int i = 0; i < 4; i++) {
        ring_wait(rig, STEP_MS);
        masters(rig, 0.5);
    }
    ring_wait(rig, 500);
    masters(rig, -6);
    ring_wait(rig, STEP_MS);
}

static void
push(struct ring_rig *rig, int mix, double db)
{
    double was = master_db(rig->desk, mix);

    ring_wait(rig, STEP_MS);
    ring_move(rig, PARAM_MIX_FADER, mix, 0, was + db);
}

static void
each_mix_is_pushed_alone_and_put_back(void **state)
{
    struct ring_rig *rig = *state;
    const struct ring_state *now;

    together_and_back(rig);
    assert_int_equal(ring_next_of(rig), RING_NEXT_PUSH);
    assert_int_equal(ringing_state(rig->ringing)->next_mix, 0);
    for (int i = 0; i < 10; i++)
        push(rig, 0, 1);
    assert_int_equal(ring_next_of(rig), RING_NEXT_PUT_BACK);
    assert_near(ringing_state(rig->ringing)->next_db, 10, 1e-9);
    assert_int_equal(ring_remarks(rig), 0);
    push(rig, 0, -10);
    assert_int_equal(ring_told(rig, RING_PUT_BACK), 1);
    assert_int_equal(ring_next_of(rig), RING_NEXT_PUSH);
    assert_int_equal(ringing_state(rig->ringing)->next_mix, 1);
    now = ringing_state(rig->ringing);
    assert_near(now->mixes[0].proved_db, 9, 0.01);
    assert_near(now->mixes[0].less_db, 0, 1e-9);
    assert_near(now->mixes[1].proved_db, 5.5, 0.01);
    assert_near(now->mixes[1].less_db, 1, 1e-9);
    assert_near(master_db(whole(rig, 1)->desk, 0), -7, 1e-9); /* -16, up 9 */
    assert_near(master_db(whole(rig, 1)->desk, 1), -16, 1e-9);
}

static void
past_10_db_it_is_far_enough(void **state)
{
    struct ring_rig *rig = *state;

    together_and_back(rig);
    for (int i = 0; i < 11; i++)
        push(rig, 0, 1);
    assert_int_equal(ring_told(rig, RING_PUSHED_FAR), 1);
    assert_int_equal(ring_remarks(rig), 1);
}

static void
one_is_put_back_before_the_next(void **state)
{
    struct ring_rig *rig = *state;

    together_and_back(rig);
    push(rig, 0, 2);
    push(rig, 0, -1);
    assert_int_equal(ring_next_of(rig), RING_NEXT_PUT_BACK);
    push(rig, 1, 1);
    assert_int_equal(ring_told(rig, RING_NOT_PUT_BACK), 1);
    assert_int_equal(ring_last(rig, RING_NOT_PUT_BACK)->mix, 0);
    assert_near(ring_last(rig, RING_NOT_PUT_BACK)->db, 1, 1e-9);
}

static void
a_preamp_that_goes_up_is_another_hand(void **state)
{
    struct ring_rig *rig = *state;

    open_all(rig);
    ring_wait(rig, STEP_MS);
    masters(rig, 0.5);
    ring_wait(rig, STEP_MS);
    ring_move(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 3);
    assert_int_equal(ring_told(rig, RING_HAND), 1);
    ring_wait(rig, RING_STANDS_MS - 1);
    masters(rig, 0.5); /* what stood since then is not known */
    assert_near(master_db(whole(rig, 0)->desk, 0), -12, 1e-9);
}

static void
who_did_not_ask_for_it_gets_none(void **state)
{
    struct ring_rig *rig = *state;

    ring_rig_again(rig, false);
    ring_up(rig, 0, 0);
    open_all(rig);
    assert_int_equal(ring_told(rig, RING_TOGETHER), 0);
}

/* Faders are dragged to where they begin, or stand a little lower first: nothing is raised yet. */
static void
a_master_on_its_way_to_12_db_down_is_set_up(void **state)
{
    struct ring_rig *rig = *state;

    ring_move(rig, PARAM_MIX_FADER, 2, 0, -12);
    for (int input = 0; input < 2; input++)
        ring_move(rig, PARAM_INPUT_MUTE, input, 0, 0);
    for (int mix = 0; mix < 2; mix++)
        for (int i = 0; i <= 240; i++) {
            ring_wait(rig, 20);
            ring_move(rig, PARAM_MIX_FADER, mix, 0, -60 + i / 5.0);
        }
    assert_int_equal(ring_told(rig, RING_TOGETHER), 1);
    assert_int_equal(ring_remarks(rig), 0);
    assert_int_equal(ring_last(rig, RING_RISE)->mix, 2);
    ring_wait(rig, STEP_MS);
    masters(rig, 0.5);
    assert_int_equal(ring_last(rig, RING_RISE)->mix, -1);
}

/* All wedges stayed up, and into each its own microphone alone: the last one's step back is that. */
static void
it_does_not_begin_with_the_last_step_back(void **state)
{
    struct ring_rig *rig = *state;

    for (int i = 0; i < 3; i++) {
        proof_put(rig->desk, PARAM_INPUT_MUTE, i, 0, 0);
        proof_put(rig->desk, PARAM_MIX_FADER, i, 0, 0);
        proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, i, 0, 0);
        for (int mix = 0; mix < 3; mix++)
            proof_put(rig->desk, PARAM_SEND_LEVEL, i, mix, i == mix ? 0 : -HUGE_VAL);
    }
    ring_rig_again(rig, true);
    for (int i = 0; i < 3; i++) {
        ring_move(rig, PARAM_INPUT_PREAMP_GAIN, i, 0, 2);
        ring_wait(rig, STEP_MS);
        ring_move(rig, PARAM_INPUT_PREAMP_GAIN, i, 0, 4);
        ring_wait(rig, 1000);
        ring_move(rig, PARAM_INPUT_PREAMP_GAIN, i, 0, 0.5);
        ring_wait(rig, 1000);
        ring_move(rig, PARAM_INPUT_PREAMP_GAIN, i, 0, -2);
        ring_wait(rig, STEP_MS);
        assert_int_equal(ring_last(rig, RING_STEP_BACK)->mix, i);
    }
    assert_int_equal(ring_told(rig, RING_TOGETHER), 0);
    assert_int_equal(ring_told(rig, RING_STEP_BACK), 3);
    assert_int_equal(ring_next_of(rig), RING_NEXT_VOICE);
    for (int mix = 0; mix < 3; mix++)
        ring_move(rig, PARAM_MIX_FADER, mix, 0, -12);
    assert_int_equal(ring_told(rig, RING_TOGETHER), 1);
}

#define TEST(test) cmocka_unit_test_setup_teardown(test, setup, teardown)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(it_begins_with_the_masters_down),
        TEST(a_master_that_is_up_is_warned_of_before_anything_rises),
        TEST(a_mix_that_opens_up_high_is_too),
        TEST(the_whole_stage_has_its_ceiling),
        TEST(half_way_back_the_rest_is_asked_for),
        TEST(above_6_db_it_is_far_enough),
        TEST(masters_that_leap_together_are_too_fast),
        TEST(each_mix_is_pushed_alone_and_put_back),
        TEST(past_10_db_it_is_far_enough),
        TEST(one_is_put_back_before_the_next),
        TEST(a_preamp_that_goes_up_is_another_hand),
        TEST(who_did_not_ask_for_it_gets_none),
        TEST(a_master_on_its_way_to_12_db_down_is_set_up),
        TEST(it_does_not_begin_with_the_last_step_back),
    };

    return cmocka_run_group_tests_name("ring_together", tests, NULL, NULL);
}
