/* SPDX-License-Identifier: MIT */
/* What a ring measured takes an allowance's place: where the desk stands as it did then, the loop gain of
 * that path is 0 dB there, whatever the plan says of amplifiers and sensitivities.
 */
#include "rig.h"
#include "stage_rig.h"
#include "unit.h"

#include <math.h>
#include <stdlib.h>

#include "stage/ears.h"
#include "stage/margin.h"
#include "stage/measured.h"

enum { AT_BAND = 17 }; /* 1 kHz */

/* Two microphones in two corners, two wedges, nothing absolute given. */
static struct stage *
two_pairs(void)
{
    struct stage *stage = stage_new();

    for (int i = 0; i < 2; i++) {
        stage_rig_microphone(stage, i, (struct place){3 * i, 2, 1.5});
        stage_rig_loudspeaker(stage, i, (struct place){3 * i, 0.5, 0.3});
    }
    return stage;
}

static struct onset_measured
rang(const struct loops *loops, int input, int mix, double now_below_db)
{
    double desk_db =
        10 * log10(loops_desk_power(loops, loops_mix(loops, mix), input, AT_BAND)) + now_below_db;

    return (struct onset_measured){input, mix, band_exact_hz(AT_BAND), desk_db};
}

/* With the desk 6 dB below where it rang the path stands at -6 dB there, and only that path is another. */
static void
a_ring_stands_at_nought(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = two_pairs();
    struct loops *loops, *before;
    struct onset_measured onset;

    stage_rig_open_all(rig, 2, 2);
    before = stage_rig_hear(rig, stage);
    loops = stage_rig_hear(rig, stage);
    onset = rang(loops, 1, 0, 6);
    measured_take(loops, &onset, 1);
    assert_near(loops_path_in(loops, 1, 0, AT_BAND), -6, 1e-9);
    assert_true(loops->measured[1][0].there);
    assert_near(loops->measured[1][0].hz, band_exact_hz(AT_BAND), 0);
    for (int i = 0; i < 2; i++)
        for (int mix = 0; mix < 2; mix++)
            if (i != 1 || mix != 0)
                assert_near(loops_path_in(loops, i, mix, AT_BAND),
                            loops_path_in(before, i, mix, AT_BAND), 0);
    measured_take(loops, NULL, 0);
    assert_near(loops_path_in(loops, 1, 0, AT_BAND), loops_path_in(before, 1, 0, AT_BAND), 1e-12);
    loops_free(loops);
    loops_free(before);
    free(stage);
}

/* No figure of the plan is in doubt on it, and it means something by itself. */
static void
it_is_absolute_and_surer(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = two_pairs();
    struct onset_measured onset;
    struct loops *loops;
    struct margin margin;

    stage_rig_open_own(rig, 2);
    loops = stage_rig_hear(rig, stage);
    assert_false(margin_of_path(loops, loops_path(loops, 0, 0)).absolute);
    onset = rang(loops, 0, 0, 3);
    measured_take(loops, &onset, 1);
    margin = margin_of_path(loops, loops_path(loops, 0, 0));
    assert_true(margin.absolute);
    assert_near(margin.give_or_take_db, 1.645 * 1.5, 1e-9);
    assert_false(margin_of_path(loops, loops_path(loops, 1, 1)).absolute);
    loops_free(loops);
    free(stage);
}

static void
of_several_the_highest_counts(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = two_pairs();
    struct onset_measured onsets[4];
    struct loops *loops;

    stage_rig_open_own(rig, 2);
    loops = stage_rig_hear(rig, stage);
    onsets[0] = rang(loops, 0, 0, 9);
    onsets[1] = rang(loops, 0, 0, 4);
    onsets[2] = rang(loops, 0, 0, 7);
    onsets[3] = (struct onset_measured){7, 5, 1000, -20}; /* in no plan */
    measured_take(loops, onsets, 4);
    assert_near(loops_path_in(loops, 0, 0, AT_BAND), -4, 1e-9);
    loops_free(loops);
    free(stage);
}

/* Where sensitivities stand in, they are in what was measured, and must not get into what ears have; where
 * all is given, what the path is louder by comes off. */
static void
ears_take_it_where_all_is_given(void **state)
{
    struct rig *rig = *state;

    for (int given = 0; given < 2; given++) {
        struct stage *stage = two_pairs();
        struct stage_ears *ears = stage_add_ears(stage);
        struct ears_level before, after;
        struct onset_measured onset;
        struct loops *loops;
        double more_db;

        ears->mix = 0;
        ears->at = (struct place){0, 2.2, 1.7};
        for (int i = 0; given && i < 2; i++) {
            stage->calibration_db.how = GIVEN;
            stage->microphones[i].sensitivity_mv_per_pa.how = GIVEN;
            stage->loudspeakers[i].sensitivity_db.how = GIVEN;
            stage->loudspeakers[i].amplifier_db.how = GIVEN;
        }
        stage_rig_open_own(rig, 2);
        loops = stage_rig_hear(rig, stage);
        assert_int_equal(ears_level(loops, 0, 6, &before), EARS_HEAR);
        more_db = 5 - -loops_path_in(loops, 0, 0, AT_BAND);
        onset = rang(loops, 0, 0, 5);
        measured_take(loops, &onset, 1);
        assert_int_equal(ears_level(loops, 0, 6, &after), EARS_HEAR);
        assert_near(after.level_db, before.level_db + (given ? more_db : 0), 1e-9);
        assert_true(given ? after.give_or_take_db != before.give_or_take_db
                          : after.give_or_take_db == before.give_or_take_db);
        loops_free(loops);
        free(stage);
    }
}

/* A hum at 40 Hz behind a high-pass was "75.8 dB above direct sound" at all frequencies. */
static void
what_rings_outside_the_bands_is_left_aside(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = two_pairs();
    struct loops *loops;

    stage_rig_open_own(rig, 2);
    loops = stage_rig_hear(rig, stage);
    measured_take(loops,
                  (const struct onset_measured[]){
                      {0, 0, 40, -60}, {0, 0, 50, -60}, {0, 0, 20000, -60}, {1, 1, 63, -20}},
                  4);
    assert_false(loops->measured[0][0].there);
    assert_true(loops->measured[1][1].there);
    measured_take(loops, (const struct onset_measured[]){{0, 0, 16000, -20}}, 1);
    assert_true(loops->measured[0][0].there);
    loops_free(loops);
    free(stage);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(a_ring_stands_at_nought),
        RIG_TEST(it_is_absolute_and_surer),
        RIG_TEST(of_several_the_highest_counts),
        RIG_TEST(ears_take_it_where_all_is_given),
        RIG_TEST(what_rings_outside_the_bands_is_left_aside),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
