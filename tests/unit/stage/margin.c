/* SPDX-License-Identifier: MIT */
/* Margins of paths and of the whole stage, and what a player can have of them. */
#include "stage_rig.h"
#include "unit.h"

#include <math.h>
#include <stdlib.h>

#include "stage/ears.h"
#include "stage/house.h"
#include "stage/margin.h"

/* Of an omnidirectional microphone. */
static double
allowed_db(void)
{
    return pattern_rows[PATTERN_OMNIDIRECTIONAL].allowance_db;
}

/* Omnidirectional microphones of inputs 0 ..., 1 m above the wedges of mixes 0 ..., which radiate
 * alike all round, 10 m between one such pair and the next, in the open, all figures given. */
static struct stage *
columns(int count)
{
    struct stage *stage = stage_new();

    stage->critical_m = (struct stated){HUGE_VAL, GIVEN};
    stage->calibration_db = (struct stated){0, GIVEN};
    for (int i = 0; i < count; i++) {
        struct stage_microphone *microphone =
            stage_rig_microphone(stage, i, (struct place){10 * i, 0, 1});
        struct stage_loudspeaker *loudspeaker =
            stage_rig_loudspeaker(stage, i, (struct place){10 * i, 0, 0});

        microphone->pattern = PATTERN_OMNIDIRECTIONAL;
        microphone->pattern_how = microphone->axis_how = GIVEN;
        microphone->sensitivity_mv_per_pa = (struct stated){2, GIVEN};
        loudspeaker->beam = stage_rig_all_round;
        loudspeaker->beam_how = loudspeaker->axis_how = GIVEN;
        loudspeaker->axis = (struct place){0, 0, 1};
        loudspeaker->sensitivity_db = (struct stated){94, GIVEN};
        loudspeaker->amplifier_db = (struct stated){30, GIVEN};
    }
    return stage;
}

/* ---- margins ---- */

/* 30 dB of preamp, 30 of amplifier, 94 - 9.03 dB SPL at 1 m for 1 V, 2 mV of 1 Pa, and what is
 * allowed. */
static void
a_margin_is_what_the_sum_says(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = columns(1);
    struct margin margin;
    struct loops *loops;

    stage_rig_open_own(rig, 1);
    loops = stage_rig_hear(rig, stage);
    margin = margin_of_stage(loops, PHASES_RANDOM);
    assert_near(margin.db, -(30 + 30 + 94 - 9.0309 - 53.9794 - 93.9794 + allowed_db()), 1e-3);
    assert_true(margin.absolute);
    assert_near(margin.give_or_take_db,
                1.645 * sqrt(pow(PATTERN_ALLOWANCE_SPREAD_DB, 2) + 1 + 1 + 0.25 + 0.25 +
                             pow(20 * log10(1 / 0.9), 2)),
                0.05);
    assert_near(margin_of_path(loops, margin.leads).give_or_take_db, margin.give_or_take_db, 0);
    loops_free(loops);
    stage->calibration_db.how = STANDS_IN;
    loops = stage_rig_hear(rig, stage);
    assert_false(margin_of_stage(loops, PHASES_RANDOM).absolute);
    loops_free(loops);
    free(stage);
}

/* A boost moves the band that leads, and the margin with it. */
static void
equalisers_move_what_leads(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = columns(2);
    struct margin before, after;
    struct loops *loops;

    stage_rig_open_own(rig, 2);
    loops = stage_rig_hear(rig, stage);
    before = margin_of_stage(loops, PHASES_WORST);
    loops_free(loops);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 1, 20, 6);
    loops = stage_rig_hear(rig, stage);
    after = margin_of_stage(loops, PHASES_WORST);
    assert_int_equal(after.band, 20);
    assert_int_equal(after.leads.mix, 1);
    assert_int_equal(after.leads.microphone, 1);
    assert_near(-after.leads.gain_db, -before.leads.gain_db - 6, 0.02);
    assert_true(after.db < before.db - 5);
    assert_true(after.db <= -after.leads.gain_db);
    loops_free(loops);
    free(stage);
}

static void
no_loop_is_an_endless_margin(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = columns(1), *empty = stage_new();
    struct loops *loops;

    stage_rig_open_own(rig, 1);
    rig_set(rig, PARAM_SEND_ON, 0, 0, 0);
    loops = stage_rig_hear(rig, stage);
    assert_near(margin_of_stage(loops, PHASES_RANDOM).db, HUGE_VAL, 0);
    loops_free(loops);
    loops = stage_rig_hear(rig, empty);
    assert_near(margin_of_stage(loops, PHASES_WORST).db, HUGE_VAL, 0);
    loops_free(loops);
    free(stage);
    free(empty);
}

/* How the phases of paths meet is one thing more not to know. */
static void
where_paths_meet_it_may_be_off_by_more(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = columns(2);
    struct margin alone, both;
    struct loops *loops;

    stage_rig_open_own(rig, 2);
    loops = stage_rig_hear(rig, stage);
    alone = margin_of_stage(loops, PHASES_RANDOM);
    loops_free(loops);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 20);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, 20);
    loops = stage_rig_hear(rig, stage);
    both = margin_of_stage(loops, PHASES_RANDOM);
    assert_true(both.db < alone.db - 1);
    assert_near(both.give_or_take_db,
                hypot(margin_of_path(loops, both.leads).give_or_take_db, 1.645 * 1), 1e-9);
    loops_free(loops);
    free(stage);
}

/* ---- ears ---- */

/* The wedge's potential gain: from it to the ears less from it to the microphone, less the allowance
 * and 6 dB; 72 dB SPL at 0.5 m are 92 at 0.05 m. */
static void
ears_get_what_geometry_allows(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = columns(1);
    struct ears_level level;
    struct loops *loops;

    stage_rig_open_own(rig, 1);
    stage_add_ears(stage)->at = (struct place){0, 1.2, 1.6}; /* 2 m from the wedge */
    loops = stage_rig_hear(rig, stage);
    assert_int_equal(ears_level(loops, 0, 6, &level),
                     EARS_NO_LOUDSPEAKER); /* nobody said which mix is theirs */
    stage->ears[0].mix = 0;
    assert_int_equal(ears_level(loops, 0, 6, &level), EARS_HEAR);
    assert_near(level.voice_db, 92, 1e-9);
    assert_near(level.level_db, 92 - 20 * log10(2) - allowed_db() - 6, 1e-3);
    assert_true(isnan(level.spare_db));
    stage->ears[0].noise_db = (struct stated){70, GIVEN};
    assert_int_equal(ears_level(loops, 0, 6, &level), EARS_HEAR);
    assert_near(level.needed_db, 80, 0);
    assert_near(level.spare_db, level.level_db - 80, 1e-12);
    loops_free(loops);
    free(stage);
}

/* A send behind the fader of a muted group arrives nowhere; one before the fader does. */
static void
a_muted_group_closes_its_paths(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = columns(1);
    struct loops *loops;

    stage_rig_open_own(rig, 1);
    rig_set(rig, PARAM_INPUT_GROUP, 0, 0, 1);
    rig_set(rig, PARAM_GROUP_MUTE, 0, 0, 1);
    loops = stage_rig_hear(rig, stage);
    assert_true(loops_path(loops, 0, 0).gain_db > -HUGE_VAL);
    loops_free(loops);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_POST_FADER);
    loops = stage_rig_hear(rig, stage);
    assert_near(loops_path(loops, 0, 0).gain_db, -HUGE_VAL, 0);
    assert_int_equal(loops->unknown, 0);
    loops_free(loops);
    rig_set(rig, PARAM_GROUP_MUTE, 0, 0, 0);
    loops = stage_rig_hear(rig, stage);
    assert_true(loops_path(loops, 0, 0).gain_db > -HUGE_VAL);
    loops_free(loops);
    free(stage);
}

/* Nothing absolute counts: not sensitivities, nor amplifier, desk or how loud the mix stands now. */
static void
ears_need_nothing_absolute(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = columns(1);
    struct ears_level before, after;
    struct loops *loops;

    stage_rig_open_own(rig, 1);
    stage_add_ears(stage)->at = (struct place){0, 1.2, 1.6};
    stage->ears[0].mix = 0;
    loops = stage_rig_hear(rig, stage);
    assert_int_equal(ears_level(loops, 0, 6, &before), EARS_HEAR);
    loops_free(loops);
    stage->loudspeakers[0].sensitivity_db = (struct stated){101, STANDS_IN};
    stage->loudspeakers[0].amplifier_db = (struct stated){12, STANDS_IN};
    stage->microphones[0].sensitivity_mv_per_pa = (struct stated){9, STANDS_IN};
    stage->calibration_db = (struct stated){-7, STANDS_IN};
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -11);
    loops = stage_rig_hear(rig, stage);
    assert_int_equal(ears_level(loops, 0, 6, &after), EARS_HEAR);
    assert_near(after.level_db, before.level_db, 1e-9);
    assert_near(after.give_or_take_db, before.give_or_take_db, 1e-9);
    assert_true(after.give_or_take_db < 6);
    loops_free(loops);
    free(stage);
}

/* Another microphone as loud in the mix takes 3 dB; a mouth twice as near gives 6. */
static void
ears_lose_to_microphones_and_win_by_nearness(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = columns(1);
    struct ears_level before, after;
    struct loops *loops;

    stage_rig_open_own(rig, 1);
    stage_add_ears(stage)->at = (struct place){0, 1.2, 1.6};
    stage->ears[0].mix = 0;
    loops = stage_rig_hear(rig, stage);
    assert_int_equal(ears_level(loops, 0, 6, &before), EARS_HEAR);
    stage->microphones[0].mouth_m.number = 0.025;
    assert_int_equal(ears_level(loops, 0, 6, &after), EARS_HEAR);
    assert_near(after.level_db, before.level_db + 20 * log10(2), 1e-9);
    stage->microphones[0].mouth_m.number = 0.05;
    loops_free(loops);

    *stage_add_microphone(stage) = stage->microphones[0];
    stage->microphones[1].inputs = (struct serves){1, {1}};
    stage_rig_open_all(rig, 2, 1);
    loops = stage_rig_hear(rig, stage);
    assert_int_equal(ears_level(loops, 0, 6, &after), EARS_HEAR);
    assert_near(after.level_db, before.level_db - 10 * log10(2), 1e-9);
    loops_free(loops);
    free(stage);
}

/* ---- house ---- */

/* The manual's example as a plan: talker 1 m from the microphone, that 4 m from the loudspeaker, the
 * listener 7 m from the talker and 6 from the loudspeaker. Sound System Design Reference Manual, ch. 4;
 * here the talker's place is the microphone's. */
static void
the_house_is_measured_in_the_plan(void **state)
{
    struct stage *stage = stage_new();
    struct stage_microphone *microphone = stage_add_microphone(stage);
    struct stage_loudspeaker *loudspeaker = stage_add_loudspeaker(stage);
    struct house house;

    (void)state;
    stage->critical_m.number = HUGE_VAL;
    stage->equivalent_m.number = 3;
    microphone->placed = loudspeaker->placed = loudspeaker->house = true;
    microphone->mouth_m.number = 1;
    stage->listener = (struct place){0, -7, 0};
    loudspeaker->at = (struct place){sqrt(16 - 29.0 / 14 * 29.0 / 14), -29.0 / 14, 0};
    assert_false(house_of(stage, 1, &house)); /* nobody listens */
    stage->listens = true;
    assert_true(house_of(stage, 1, &house));
    assert_near(house.microphone_to_loudspeaker_m, 4, 1e-9);
    assert_near(house.loudspeaker_to_listener_m, 6, 1e-9);
    assert_near(house_potential_db(&house, 0), 13.5, 0.15);
    assert_near(house_potential_db(&house, HOUSE_MARGIN_DB), 7.5, 0.15);
    assert_near(house_needed_db(&house), 7.5, 0.15);
    loudspeaker->house = false;
    assert_false(house_of(stage, 1, &house));
    free(stage);
}

int
main(void)
{
    static const struct CMUnitTest tests[] = {
        RIG_TEST(a_margin_is_what_the_sum_says),
        RIG_TEST(equalisers_move_what_leads),
        RIG_TEST(no_loop_is_an_endless_margin),
        RIG_TEST(where_paths_meet_it_may_be_off_by_more),
        RIG_TEST(ears_get_what_geometry_allows),
        RIG_TEST(a_muted_group_closes_its_paths),
        RIG_TEST(ears_need_nothing_absolute),
        RIG_TEST(ears_lose_to_microphones_and_win_by_nearness),
        cmocka_unit_test(the_house_is_measured_in_the_plan),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
