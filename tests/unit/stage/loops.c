/* SPDX-License-Identifier: MIT */
/* Loops of a whole stage: beside path gains summed up anew, and where the answer is known. */
#include "path_gain.h"
#include "stage_rig.h"
#include "unit.h"

#include <math.h>
#include <stdlib.h>

#include "stage/loops.h"

static const enum param_id reads[] = {LOOPS_READS, PARAMS};

/* `count` microphones of inputs 0 ... and as many wedges of mixes 0 ..., all over the stage. */
static struct stage *
random_stage(struct dice *dice, int count)
{
    struct stage *stage = stage_new();

    for (int i = 0; i < count; i++) {
        struct place stand = {dice_between(dice, -5, 5), dice_between(dice, 0, 6), 1.5};
        struct place wedge = {dice_between(dice, -5, 5), dice_between(dice, 0, 6), 0.3};

        stage_rig_microphone(stage, i, stand)->pattern = (enum polar)dice_below(dice, PATTERNS);
        stage_rig_loudspeaker(stage, i, wedge);
    }
    return stage;
}

/* Every send of the rig open at a level of its own. */
static void
open_sends(struct rig *rig, struct dice *dice, int inputs, int mixes)
{
    for (int input = 0; input < inputs; input++)
        for (int mix = 0; mix < mixes; mix++)
            rig_set(rig, PARAM_SEND_LEVEL, input, mix, dice_between(dice, -20, 0));
}

/* ---- paths ---- */

/* Air and desk, each from its own functions, in the worst band. */
static double
path_anew_db(struct rig *rig, const struct stage *stage, int microphone, int mix, int *at_band)
{
    struct verdict verdict;
    struct look look = look_reader(rig->desk, rig->show, reads, &verdict);
    double highest_db = -HUGE_VAL, desk_db;
    struct leg leg;

    assert_true(leg_to_microphone(stage, mix, microphone, &leg));
    for (int band = LOOPS_FIRST_BAND; band <= LOOPS_LAST_BAND; band++) {
        double hz = band_exact_hz(band);
        double air_db = leg_db(&leg, hz, beam_q(leg.beam, hz));

        assert_true(path_gain_db(&look, microphone, mix, hz, &desk_db));
        if (air_db + desk_db > highest_db) {
            highest_db = air_db + desk_db;
            *at_band = band;
        }
    }
    return highest_db;
}

static void
a_path_is_air_and_desk(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();

    for (int round = 0; round < 20; round++) {
        struct stage *stage = random_stage(&dice, 4);
        struct loops *loops;

        rig_start(rig, 4, 4);
        open_sends(rig, &dice, 4, 4);
        for (int band = 0; band < 31; band++)
            rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, dice_below(&dice, 4), band,
                    dice_between(&dice, -9, 3));
        rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 1, 0, 300);
        loops = stage_rig_hear(rig, stage);
        for (int at = 0; at < 16; at++) {
            int band = -1;
            double gain_db = path_anew_db(rig, stage, at / 4, at % 4, &band);
            struct loop_path path = loops_path(loops, at / 4, at % 4);

            assert_near(path.gain_db, gain_db, 1e-9);
            assert_int_equal(path.band, band);
        }
        loops_free(loops);
        free(stage);
    }
}

static void
leading_paths_lead(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();
    struct stage *stage = random_stage(&dice, 4);
    struct loop_path few[3], all[16], none[1];
    struct loops *loops;

    rig_start(rig, 4, 4);
    open_sends(rig, &dice, 4, 4);
    rig_set(rig, PARAM_SEND_ON, 2, 2, 0);
    loops = stage_rig_hear(rig, stage);
    assert_int_equal(loops_leading(loops, all, 16), 15);
    assert_int_equal(loops_leading(loops, few, 3), 3);
    assert_int_equal(loops_leading(loops, none, 0), 0);
    for (int i = 0; i < 15; i++) {
        struct loop_path path = loops_path(loops, all[i].microphone, all[i].mix);

        assert_near(all[i].gain_db, path.gain_db, 0);
        assert_true(i == 0 || all[i - 1].gain_db >= path.gain_db);
        assert_false(path.microphone == 2 && path.mix == 2);
    }
    for (int i = 0; i < 3; i++)
        assert_near(few[i].gain_db, all[i].gain_db, 0);
    loops_free(loops);
    free(stage);
}

/* ---- the whole stage ---- */

/* `count` microphones in one place into one wedge. */
static struct stage *
crowd(int count)
{
    struct stage *stage = stage_new();

    stage_rig_loudspeaker(stage, 0, (struct place){0, 0, 0});
    for (int i = 0; i < count; i++)
        stage_rig_microphone(stage, i, (struct place){0, 1.5, 1.2});
    return stage;
}

/* Primer: Acoustic Characteristics of Live Sound Reinforcement, prosoundweb.com, p. 6: 10 log10 N; at
 * the worst phases 20 log10 N. */
static void
equal_microphones_cost_what_handbooks_say(void **state)
{
    struct rig *rig = *state;
    double one_db = 0;

    for (int count = 1; count <= 16; count *= 2) {
        struct stage *stage = crowd(count);
        struct loops *loops;

        rig_start(rig, 16, 1);
        for (int i = 0; i < count; i++)
            rig_set(rig, PARAM_SEND_LEVEL, i, 0, -3);
        loops = stage_rig_hear(rig, stage);
        if (count == 1)
            one_db = loops_path(loops, 0, 0).gain_db;
        assert_near(loops_onset(loops, PHASES_RANDOM).gain_db, one_db + 10 * log10(count), 1e-9);
        assert_near(loops_onset(loops, PHASES_WORST).gain_db, one_db + 20 * log10(count), 1e-9);
        assert_near(loops_onset(loops, PHASES_WORST).gap_db, 0, 0);
        assert_near(loops_onset_of_mix(loops, 0).gain_db, one_db + 10 * log10(count), 1e-9);
        loops_free(loops);
        free(stage);
    }
}

static void
scaling_every_send_moves_both(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();
    struct stage *stage = random_stage(&dice, 4);
    struct loops *before, *after;

    rig_start(rig, 4, 4);
    open_sends(rig, &dice, 4, 4);
    before = stage_rig_hear(rig, stage);
    for (int i = 0; i < 16; i++)
        rig_set(rig, PARAM_SEND_LEVEL, i / 4, i % 4,
                value_number(desk_value(rig->desk, PARAM_SEND_LEVEL, i / 4, i % 4)) - 7.25);
    after = stage_rig_hear(rig, stage);
    for (int phases = PHASES_WORST; phases <= PHASES_RANDOM; phases++)
        assert_near(loops_onset(after, (enum phases)phases).gain_db,
                    loops_onset(before, (enum phases)phases).gain_db - 7.25, 1e-9);
    loops_free(before);
    loops_free(after);
    free(stage);
}

/* Left is right: places, axes and all. */
static void
mirror_images_are_alike(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();
    struct stage *stage = random_stage(&dice, 4);
    struct loops *before, *after;

    rig_start(rig, 4, 4);
    open_sends(rig, &dice, 4, 4);
    stage->microphones[2].axis = (struct place){0.6, 0.8, 0};
    before = stage_rig_hear(rig, stage);
    stage->microphones[2].axis.x_m = -0.6;
    for (int i = 0; i < 4; i++) {
        stage->microphones[i].at.x_m = -stage->microphones[i].at.x_m;
        stage->loudspeakers[i].at.x_m = -stage->loudspeakers[i].at.x_m;
    }
    after = stage_rig_hear(rig, stage);
    for (int phases = PHASES_WORST; phases <= PHASES_RANDOM; phases++)
        assert_near(loops_onset(after, (enum phases)phases).gain_db,
                    loops_onset(before, (enum phases)phases).gain_db, 1e-9);
    loops_free(before);
    loops_free(after);
    free(stage);
}

/* No bound is below the loudest single path, and random phases are never worse than the worst. */
static void
bounds_are_in_order(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();

    for (int round = 0; round < 20; round++) {
        struct stage *stage = random_stage(&dice, 4);
        struct onset random, worst;
        struct loop_path first;
        struct loops *loops;

        rig_start(rig, 4, 4);
        open_sends(rig, &dice, 4, 4);
        loops = stage_rig_hear(rig, stage);
        random = loops_onset(loops, PHASES_RANDOM);
        worst = loops_onset(loops, PHASES_WORST);
        assert_int_equal(loops_leading(loops, &first, 1), 1);
        assert_true(random.gain_db > first.gain_db - 1e-9);
        assert_true(worst.gain_db > random.gain_db - 1e-9);
        assert_true(random.gap_db <= 0.0101 && worst.gap_db <= 0.0101);
        loops_free(loops);
        free(stage);
    }
}

/* ---- what closes no loop ---- */

static double
gain_db(struct rig *rig, struct stage *stage)
{
    struct loops *loops = stage_rig_hear(rig, stage);
    double db = loops_onset(loops, PHASES_RANDOM).gain_db;

    loops_free(loops);
    return db;
}

static void
what_is_closed_closes_no_loop(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = crowd(1);

    rig_start(rig, 2, 1);
    assert_near(gain_db(rig, stage), -HUGE_VAL, 0); /* its send is off */
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, 0); /* of no microphone of the plan */
    assert_true(isfinite(gain_db(rig, stage)));
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    assert_near(gain_db(rig, stage), -HUGE_VAL, 0);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 0);
    rig_set(rig, PARAM_MIX_MUTE, 0, 0, 1);
    assert_near(gain_db(rig, stage), -HUGE_VAL, 0);
    rig_set(rig, PARAM_MIX_MUTE, 0, 0, 0);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Bass DI"); /* a line */
    assert_near(gain_db(rig, stage), -HUGE_VAL, 0);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Lead Vox");
    assert_true(isfinite(gain_db(rig, stage)));
    rig->show->inputs[0].source = rig_source("keys");
    assert_near(gain_db(rig, stage), -HUGE_VAL, 0);
    free(stage);
}

/* Two strips of one microphone carry one sound: 6 dB, whatever the phases of the air. */
static void
two_inputs_of_one_microphone_add_up(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = crowd(1);
    double one_db;

    rig_start(rig, 2, 1);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    one_db = gain_db(rig, stage);
    stage->microphones[0].inputs = (struct serves){2, {0, 1}};
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, 0);
    assert_near(gain_db(rig, stage), one_db + 20 * log10(2), 1e-9);
    free(stage);
}

/* Two wedges of one mix: 6 dB at the worst phases, 3 dB at random ones. */
static void
two_wedges_of_one_mix_add_by_phase(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = crowd(1);
    struct loops *loops;
    double one_db;

    rig_start(rig, 1, 1);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    one_db = gain_db(rig, stage);
    *stage_add_loudspeaker(stage) = stage->loudspeakers[0];
    assert_near(gain_db(rig, stage), one_db + 10 * log10(2), 1e-9);
    loops = stage_rig_hear(rig, stage);
    assert_near(loops_onset(loops, PHASES_WORST).gain_db, one_db + 20 * log10(2), 1e-9);
    stage->loudspeakers[1].sensitivity_db.number += 1;
    assert_int_equal(loops_loudspeaker(loops, 0, 0, 17), 1);
    loops_free(loops);
    free(stage);
}

static void
what_is_not_known_is_counted(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = crowd(2);
    struct loops *loops;
    int missing;

    rig_start(rig, 2, 1);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, -30);
    rig_stale(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0);
    loops = stage_rig_hear_some(rig, stage, &missing);
    assert_int_equal(loops->unknown, 1);
    assert_true(missing > 0);
    assert_true(isfinite(loops_path(loops, 0, 0).gain_db));
    assert_near(loops_path(loops, 1, 0).gain_db, -HUGE_VAL, 0);
    loops_free(loops);
    free(stage);
}

/* Before the equaliser no filter of the input is asked for. */
static void
a_pre_eq_tap_asks_for_no_filter(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = crowd(1);

    rig_start(rig, 1, 1);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_EQ);
    rig_forget(rig, PARAM_INPUT_HIGH_PASS_ON, SUPPLY_HEARD);
    assert_true(isfinite(gain_db(rig, stage)));
    free(stage);
}

/* Working out again what moved is the same as all of it. */
static void
air_follows_what_moved(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();
    struct stage *stage = random_stage(&dice, 4), *moved = random_stage(&dice, 4);
    struct loops *loops, *anew;

    rig_start(rig, 4, 4);
    open_sends(rig, &dice, 4, 4);
    loops = stage_rig_hear(rig, stage);
    loops_air(loops, moved, 0, -1);
    loops_air(loops, moved, 1, -1);
    loops_air(loops, moved, 2, -1);
    for (int mix = 0; mix < 4; mix++)
        loops_air(loops, moved, 3, mix);
    anew = stage_rig_hear(rig, moved);
    for (int at = 0; at < 16; at++)
        assert_near(loops_path(loops, at / 4, at % 4).gain_db,
                    loops_path(anew, at / 4, at % 4).gain_db, 0);
    loops_free(loops);
    loops_free(anew);
    free(stage);
    free(moved);
}

int
main(void)
{
    static const struct CMUnitTest tests[] = {
        RIG_TEST(a_path_is_air_and_desk),
        RIG_TEST(leading_paths_lead),
        RIG_TEST(equal_microphones_cost_what_handbooks_say),
        RIG_TEST(scaling_every_send_moves_both),
        RIG_TEST(mirror_images_are_alike),
        RIG_TEST(bounds_are_in_order),
        RIG_TEST(what_is_closed_closes_no_loop),
        RIG_TEST(two_inputs_of_one_microphone_add_up),
        RIG_TEST(two_wedges_of_one_mix_add_by_phase),
        RIG_TEST(what_is_not_known_is_counted),
        RIG_TEST(a_pre_eq_tap_asks_for_no_filter),
        RIG_TEST(air_follows_what_moved),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
