/* SPDX-License-Identifier: MIT */
/* What is a ceiling, and what is none. */
#include "ring_rig.h"

#include <math.h>

enum { STEP_MS = 2 * RING_STANDS_MS };

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

static int
kept(const struct ring_rig *rig)
{
    return ringing_proofs(rig->ringing)->ceiling_count;
}

/* The preamp of input 0 in the only ceiling. */
static double
kept_preamp_db(const struct ring_rig *rig)
{
    assert_int_equal(kept(rig), 1);
    return value_number(
        desk_value(ringing_proofs(rig->ringing)->ceilings[0].desk, PARAM_INPUT_PREAMP_GAIN, 0, 0));
}

static void
what_stood_before_a_step_up_did_not_ring(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, STEP_MS, 1);
    assert_near(kept_preamp_db(rig), 0, 1e-9);
    ring_up(rig, STEP_MS, 1);
    assert_near(kept_preamp_db(rig), 1, 1e-9);
    assert_near(ringing_proofs(rig->ringing)->ceilings[0].step_db, 1, 1e-9);
    assert_int_equal(ringing_proofs(rig->ringing)->ceilings[0].mix, 0);
    assert_int_equal(ringing_proofs(rig->ringing)->ceilings[0].made.now_ms, rig->now_ms);
    ring_wait(rig, 60000); /* to stand is not enough: perhaps it rings and nobody acts */
    assert_near(kept_preamp_db(rig), 1, 1e-9);
}

static void
it_stood_long_enough_to_the_millisecond(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, RING_STANDS_MS - 1, 1);
    assert_int_equal(kept(rig), 0);
    ring_rig_again(rig, true);
    ring_up(rig, RING_STANDS_MS, 1);
    assert_int_equal(kept(rig), 1);
}

/* A program that was stopped: what it hears first may have been moved at any time meanwhile. */
static void
what_nobody_saw_did_not_stand(void **state)
{
    struct ring_rig *rig = *state;

    ring_wait(rig, STEP_MS);
    ringing_unseen(rig->ringing, rig->now_ms);
    ring_up(rig, RING_STANDS_MS - 1, 1);
    assert_int_equal(kept(rig), 0);
    ring_up(rig, RING_STANDS_MS, 1);
    assert_near(kept_preamp_db(rig), 1, 1e-9);
}

static void
quick_steps_prove_what_stood_before_them(void **state)
{
    struct ring_rig *rig = *state;

    for (int i = 0; i < 20; i++)
        ring_up(rig, RING_STANDS_MS / 4, 0.5);
    /* before the last of 20 steps that makes 10 dB, the state of four steps ago */
    assert_near(kept_preamp_db(rig), 8, 1e-9);
    assert_near(ringing_proofs(rig->ringing)->ceilings[0].step_db, 2, 1e-9);
}

/* The only ceiling's resolution. */
static double
kept_step_db(const struct ring_rig *rig)
{
    assert_int_equal(kept(rig), 1);
    return ringing_proofs(rig->ringing)->ceilings[0].step_db;
}

/* A level that is typed in, or asked for seldom. */
static void
a_leap_is_its_resolution(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, STEP_MS, 30);
    assert_near(kept_step_db(rig), 30, 1e-9);
}

/* The one it was rung out by is closed then, wherever its send stands. */
static void
through_another_microphone_it_is_that_ones_step(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 1000, 3);
    ring_up(rig, 1000, -6);
    ring_move(rig, PARAM_SEND_LEVEL, 0, 0, -HUGE_VAL);
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 0);
    ring_move(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 1); /* another knob than before */
    ring_wait(rig, STEP_MS);
    ring_move(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 3);
    assert_near(kept_step_db(rig), 2, 1e-9);
}

/* After that the state that stood is not known to have been silent. */
static void
check_begins_anew(struct ring_rig *rig, void (*deed)(struct ring_rig *))
{
    ring_rig_again(rig, true);
    proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, 0);
    ring_rig_again(rig, true);
    ring_up(rig, STEP_MS, 1); /* proves 0 dB */
    ring_wait(rig, STEP_MS);
    deed(rig);
    ring_up(rig, RING_STANDS_MS - 1, 1);
    assert_int_equal(kept(rig), 1);
    assert_near(value_number(desk_value(ringing_proofs(rig->ringing)->ceilings[0].desk,
                                        PARAM_INPUT_PREAMP_GAIN, 0, 0)),
                0, 1e-9);
}

static void
cut(struct ring_rig *rig)
{
    ring_cut(rig, 0, 5, -3);
}

static void
raise_band(struct ring_rig *rig)
{
    ring_move(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 5, 3);
}

static void
step_down(struct ring_rig *rig)
{
    ring_up(rig, 0, -0.5);
}

static void
raise_send(struct ring_rig *rig)
{
    ring_move(rig, PARAM_SEND_LEVEL, 0, 0, 1);
}

static void
open_other(struct ring_rig *rig)
{
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 0);
}

static void
turn_polarity(struct ring_rig *rig)
{
    ring_move(rig, PARAM_INPUT_POLARITY, 0, 0, 1);
}

static void
move_high_pass(struct ring_rig *rig)
{
    ring_move(rig, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 80);
}

static void
switch_gate(struct ring_rig *rig)
{
    ring_move(rig, PARAM_INPUT_GATE_ON, 0, 0, 1);
    ring_move(rig, PARAM_INPUT_GATE_ON, 0, 0, 0);
}

static void
lose_the_link(struct ring_rig *rig)
{
    ringing_lost(rig->ringing, rig->now_ms);
    ringing_back(rig->ringing, rig->now_ms);
    ringing_reread(rig->ringing, rig->now_ms);
}

static void
recall(struct ring_rig *rig)
{
    ringing_recalled(rig->ringing, rig->now_ms);
    ringing_reread(rig->ringing, rig->now_ms);
}

static void
go_stale(struct ring_rig *rig)
{
    desk_set_stale(rig->desk, PARAM_MIX_FADER, 0, 0);
    ringing_moved(rig->ringing, PARAM_MIX_FADER, 0, 0, rig->now_ms);
    ring_move(rig, PARAM_MIX_FADER, 0, 0, 0);
}

static void
what_is_not_clear_begins_anew(void **state)
{
    struct ring_rig *rig = *state;
    static void (*const deeds[])(struct ring_rig *) = {
        cut,           raise_band,    step_down,      raise_send,
        open_other,    turn_polarity, move_high_pass, switch_gate,
        lose_the_link, recall,        go_stale,
    };

    for (size_t i = 0; i < COUNT(deeds); i++) {
        ring_rig_teardown(rig);
        ring_rig_setup(rig);
        check_begins_anew(rig, deeds[i]);
    }
}

static void
do_nothing(struct ring_rig *rig)
{
    ring_move(rig, PARAM_MIX_LIMITER_ON, 0, 0, 1);
    ring_move(rig, PARAM_SEND_LEVEL, 1, 1, 3); /* into a mix that is closed */
}

static void
what_makes_no_loop_does_not(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, STEP_MS, 1);
    ring_wait(rig, STEP_MS);
    do_nothing(rig);
    ring_up(rig, 100, 1);
    assert_near(kept_preamp_db(rig), 1, 1e-9);
}

static void
behind_a_gate_nothing_is_proved(void **state)
{
    struct ring_rig *rig = *state;

    ring_move(rig, PARAM_INPUT_GATE_ON, 0, 0, 1);
    ring_up(rig, STEP_MS, 1);
    ring_up(rig, STEP_MS, 1);
    assert_int_equal(kept(rig), 0);
    assert_int_equal(ring_told(rig, RING_GATE), 1);
    assert_int_equal(ring_last(rig, RING_GATE)->input, 0);
    ring_move(rig, PARAM_INPUT_GATE_ON, 0, 0, 0);
    ring_move(rig, PARAM_INPUT_GATE_ON, 1, 0, 1); /* of a microphone that is closed */
    ring_up(rig, STEP_MS, 1);
    assert_int_equal(kept(rig), 1);
}

static void
what_is_not_known_proves_nothing(void **state)
{
    static const struct proof_move unknown[] = {{PARAM_INPUT_HIGH_PASS_FREQ, 0, 0},
                                                {PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 3},
                                                {PARAM_SEND_TAP, 0, 0},
                                                {PARAM_SEND_LEVEL, 0, 0},
                                                {PARAM_INPUT_POLARITY, 0, 0},
                                                {PARAM_INPUT_MUTE, 2, 0}};
    struct ring_rig *rig = *state;

    for (size_t i = 0; i < COUNT(unknown); i++) {
        ring_rig_teardown(rig);
        ring_rig_setup(rig);
        desk_set_stale(rig->desk, unknown[i].id, unknown[i].row, unknown[i].column);
        ring_rig_again(rig, true);
        ring_up(rig, STEP_MS, 1);
        ring_up(rig, STEP_MS, 1);
        assert_row(params[unknown[i].id].name, kept(rig), 0);
        assert_row(params[unknown[i].id].name, ring_told(rig, RING_NOT_KNOWN), 1);
    }
}

static void
nothing_is_looked_at_while_the_link_is_lost(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, STEP_MS, 1);
    ringing_lost(rig->ringing, rig->now_ms);
    assert_int_equal(ring_next_of(rig), RING_NEXT_WAIT);
    ring_up(rig, STEP_MS, 1);
    ring_up(rig, STEP_MS, 1);
    ring_cut(rig, 500, 5, -3);
    assert_near(kept_preamp_db(rig), 0, 1e-9);
    assert_int_equal(ring_told(rig, RING_CUT), 0);
    ringing_back(rig->ringing, rig->now_ms);
    assert_int_equal(ring_next_of(rig), RING_NEXT_WAIT);
    ringing_reread(rig->ringing, rig->now_ms);
    assert_int_not_equal(ring_next_of(rig), RING_NEXT_WAIT);
    ring_cut(rig, 500, 6, -3); /* nothing rose since */
    assert_int_equal(ring_told(rig, RING_CUT), 0);
    ring_up(rig, STEP_MS, 1);
    assert_near(kept_preamp_db(rig), 3, 1e-9);
}

/* Who was on the way up when the link was lost is not done, whatever was pushed meanwhile. */
static void
behind_a_lost_link_it_goes_on(void **state)
{
    struct ring_rig *rig = *state;
    const struct ring_state *is;

    ring_up(rig, STEP_MS, 1);
    ring_up(rig, STEP_MS, 1); /* 1 dB is proved */
    ringing_lost(rig->ringing, rig->now_ms);
    ring_up(rig, STEP_MS, 7);
    ringing_reread(rig->ringing, rig->now_ms);
    is = ringing_state(rig->ringing);
    assert_int_equal(is->next, RING_NEXT_STEP_BACK);
    assert_near(is->next_db, 14, 0.01); /* 8 dB past it, and 6 more */
    ring_up(rig, 1000, -14);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RAISE);
    ring_up(rig, STEP_MS, 14);
    ring_up(rig, STEP_MS, -6);
    ringing_lost(rig->ringing, rig->now_ms);
    ringing_reread(rig->ringing, rig->now_ms);
    assert_int_equal(ring_next_of(rig), RING_NEXT_STEP_BACK);
    ring_up(rig, 1000, -6); /* below what is proved it goes on as it was */
    assert_int_equal(ring_next_of(rig), RING_NEXT_VOICE);
}

static void
the_better_ceiling_stays(void **state)
{
    struct ring_rig *rig = *state;

    for (int i = 0; i < 10; i++)
        ring_up(rig, STEP_MS, 1);
    ring_up(rig, 1000, -6);
    ring_up(rig, STEP_MS, 1); /* 4 dB stood: less than the 9 that are kept */
    assert_near(kept_preamp_db(rig), 9, 1e-9);
}

static void
what_is_proved_now_is_told(void **state)
{
    struct ring_rig *rig = *state;

    for (int i = 0; i < 10; i++)
        ring_up(rig, STEP_MS, 1);
    assert_near(ringing_state(rig->ringing)->mixes[0].alone_db, -1, 0.01);
    ring_up(rig, 1000, -6);
    assert_near(ringing_state(rig->ringing)->mixes[0].alone_db, 5, 0.01);
    assert_near(ringing_state(rig->ringing)->mixes[0].step_db, 1, 1e-9);
    assert_near(ringing_state(rig->ringing)->mixes[0].less_db, 0, 1e-9);
    assert_true(isnan(ringing_state(rig->ringing)->mixes[1].alone_db));
}

static void
another_mix_that_is_open_is_in_it(void **state)
{
    struct ring_rig *rig = *state;

    proof_put(rig->desk, PARAM_MIX_FADER, 1, 0, -20);
    ring_rig_again(rig, false);
    ring_up(rig, STEP_MS, 1);
    assert_int_equal(kept(rig), 1);
    assert_int_equal(ringing_proofs(rig->ringing)->ceilings[0].mix, -1);
}

static void
the_other_side_is_kept_with_the_gain_it_rang_at(void **state)
{
    struct ring_rig *rig = *state;
    const struct proofs *proofs = ringing_proofs(rig->ringing);

    ring_up(rig, STEP_MS, 12);
    ring_cut(rig, 800, 5, -3);
    assert_int_equal(proofs->ring_count, 1);
    assert_near(proofs->rings[0].hz, 1000, 1);
    assert_int_equal(proofs->rings[0].mix, 0);
    assert_int_equal(proofs->rings[0].input, 0);
    assert_near(proofs->rings[0].gain_db, 12, 0.1); /* the high-pass is far below */
}

static void
what_was_left_is_kept_at_the_end(void **state)
{
    struct ring_rig *rig = *state;
    const struct proofs *proofs = ringing_proofs(rig->ringing);

    ring_up(rig, STEP_MS, 9);
    ring_up(rig, STEP_MS, -6);
    assert_null(proofs->left);
    ringing_end(rig->ringing, rig->now_ms);
    assert_non_null(proofs->left);
    assert_near(value_number(desk_value(proofs->left, PARAM_INPUT_PREAMP_GAIN, 0, 0)), 3, 1e-9);
}

static void
what_was_left_while_it_was_lost_is_not_known(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, STEP_MS, 9);
    ringing_lost(rig->ringing, rig->now_ms);
    ringing_end(rig->ringing, rig->now_ms);
    assert_null(ringing_proofs(rig->ringing)->left);
    assert_int_equal(kept(rig), 1); /* what was proved before is */
}

#define TEST(test) cmocka_unit_test_setup_teardown(test, setup, teardown)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(what_stood_before_a_step_up_did_not_ring),
        TEST(it_stood_long_enough_to_the_millisecond),
        TEST(what_nobody_saw_did_not_stand),
        TEST(quick_steps_prove_what_stood_before_them),
        TEST(a_leap_is_its_resolution),
        TEST(through_another_microphone_it_is_that_ones_step),
        TEST(what_is_not_clear_begins_anew),
        TEST(what_makes_no_loop_does_not),
        TEST(behind_a_gate_nothing_is_proved),
        TEST(what_is_not_known_proves_nothing),
        TEST(nothing_is_looked_at_while_the_link_is_lost),
        TEST(behind_a_lost_link_it_goes_on),
        TEST(the_better_ceiling_stays),
        TEST(what_is_proved_now_is_told),
        TEST(another_mix_that_is_open_is_in_it),
        TEST(the_other_side_is_kept_with_the_gain_it_rang_at),
        TEST(what_was_left_is_kept_at_the_end),
        TEST(what_was_left_while_it_was_lost_is_not_known),
    };

    return cmocka_run_group_tests_name("ring_ceiling", tests, NULL, NULL);
}
