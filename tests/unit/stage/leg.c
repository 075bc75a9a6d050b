/* SPDX-License-Identifier: MIT */
/* Acoustic gain of one way, beside published levels and sensitivities, and summed by hand. */
#include "unit.h"

#include <math.h>
#include <stdlib.h>

#include "stage.h"
#include "stage/leg.h"

/* One loudspeaker at the front edge, one microphone 2 m behind it, facing each other, in the open,
 * every figure given. */
static struct stage *
face_to_face(void)
{
    struct stage *stage = stage_new();
    struct stage_microphone *microphone = stage_add_microphone(stage);
    struct stage_loudspeaker *loudspeaker = stage_add_loudspeaker(stage);

    stage->critical_m = (struct stated){HUGE_VAL, GIVEN};
    stage->calibration_db = (struct stated){0, GIVEN};
    *microphone = (struct stage_microphone){.placed = true,
                                            .at = {0, 2, 0},
                                            .axis = {0, -1, 0},
                                            .axis_how = GIVEN,
                                            .pattern = PATTERN_CARDIOID,
                                            .pattern_how = GIVEN,
                                            .floor_db = {-18, GIVEN},
                                            .sensitivity_mv_per_pa = {1000, GIVEN},
                                            .mouth_m = {0.1, GIVEN}};
    loudspeaker->placed = true;
    loudspeaker->at = (struct place){0, 0, 0};
    loudspeaker->axis = (struct place){0, 1, 0};
    loudspeaker->axis_how = loudspeaker->beam_how = GIVEN;
    loudspeaker->sensitivity_db = (struct stated){94 + 9.0309, GIVEN};
    loudspeaker->amplifier_db = (struct stated){0, GIVEN};
    loudspeaker->from_hz = (struct stated){0, GIVEN};
    return stage;
}

static struct leg
leg_of(const struct stage *stage)
{
    struct leg leg;

    assert_true(leg_to_microphone(stage, 0, 0, &leg));
    return leg;
}

static double
gain_db(const struct stage *stage, double hz)
{
    struct leg leg = leg_of(stage);

    return leg_db(&leg, hz, beam_q(leg.beam, hz));
}

/* 1 V makes 94 dB SPL at 1 m, which is 1 Pa and 1 V at the microphone: 0 dB at 1 m but for the 0.02
 * dB by which 1 Pa is less, and the allowance. */
static void
every_part_is_in_the_sum(void **state)
{
    struct stage *stage = face_to_face();
    double here_db = 94 - 93.9794 + pattern_rows[PATTERN_CARDIOID].allowance_db;

    (void)state;
    for (size_t i = 0; i < COUNT(reference_distances); i++) {
        stage->microphones[0].at.y_m = reference_distances[i].metres;
        assert_near(gain_db(stage, 1000), here_db + reference_distances[i].db, 6e-5);
    }
    stage->microphones[0].at.y_m = 1;
    stage->calibration_db.number = 3;
    stage->loudspeakers[0].amplifier_db.number = 20;
    stage->loudspeakers[0].sensitivity_db.number -= 5;
    stage->microphones[0].sensitivity_mv_per_pa.number = 2;
    assert_near(gain_db(stage, 1000), here_db + 3 + 20 - 5 - 53.9794, 1e-4);
    free(stage);
}

/* What is lost off the axis adds straight to the gain before feedback: 6 dB of a cardioid at its -6 dB axis
 * (Sound System Design Reference Manual, p. 4-3); beside it a null's floor and a beam at 45. */
static void
angles_take_off_what_pattern_and_beam_say(void **state)
{
    struct stage *stage = face_to_face();
    double straight_db = gain_db(stage, 2000);

    (void)state;
    stage->microphones[0].axis = (struct place){1, 0, 0};
    assert_near(gain_db(stage, 2000), straight_db - 6.0206, 1e-4);
    stage->microphones[0].axis = (struct place){0, 1, 0};
    assert_near(gain_db(stage, 2000), straight_db - 18, 1e-9);
    stage->microphones[0].axis = (struct place){0, -1, 0};
    stage->loudspeakers[0].axis = (struct place){0, sqrt(0.5), sqrt(0.5)};
    assert_near(gain_db(stage, 2000), straight_db - 3, 1e-9);
    assert_near(gain_db(stage, 100), straight_db - 2 * log2(5), 1e-9); /* less is allowed there */
    free(stage);
}

/* At the critical distance room and direct sound are alike, as the microphone hears them: 3 dB more
 * for an omnidirectional one, and for a cardioid in its null what its random energy says. */
static void
the_room_is_added_as_power(void **state)
{
    struct stage *stage = face_to_face();
    double straight_db;

    (void)state;
    stage->microphones[0].pattern = PATTERN_OMNIDIRECTIONAL;
    straight_db = gain_db(stage, 63);
    stage->critical_m.number = 2;
    assert_near(gain_db(stage, 63), straight_db + 10 * log10(2), 1e-9);
    stage->microphones[0].pattern = PATTERN_CARDIOID;
    stage->microphones[0].axis = (struct place){0, 1, 0};
    assert_near(gain_db(stage, 63) - pattern_rows[PATTERN_CARDIOID].allowance_db,
                straight_db - pattern_rows[PATTERN_OMNIDIRECTIONAL].allowance_db +
                    10 * log10(pow(10, -1.8) + 1 / 3.0),
                1e-9);
    free(stage);
}

/* 2 dB less in each octave below 500 Hz; nothing is allowed for ears. */
static void
less_is_allowed_in_the_lows(void **state)
{
    struct stage *stage = face_to_face();
    struct leg leg;

    (void)state;
    stage->loudspeakers[0].beam = (struct beam){1, {{1000, 2, {0, 180}, {0, 0}}}};
    assert_near(gain_db(stage, 250), gain_db(stage, 1000) - 2, 1e-9);
    assert_near(gain_db(stage, 500), gain_db(stage, 8000), 1e-9);
    stage_add_ears(stage)->at = (struct place){0, 2, 0};
    assert_true(leg_to_ears(stage, 0, 0, &leg));
    assert_near(leg_db(&leg, 63, 1), leg_db(&leg, 1000, 1), 1e-9);
    free(stage);
}

/* 10 log10(1 + (from / hz)^4), of ears as of microphones; who tells nothing has 70 Hz. */
static void
the_lows_fall_below_where_they_begin(void **state)
{
    struct stage *stage = face_to_face();
    double flat_db = gain_db(stage, 63), high_db = gain_db(stage, 6300);

    (void)state;
    stage->loudspeakers[0].from_hz.number = 63;
    assert_near(gain_db(stage, 63), flat_db - 3.0103, 1e-4);
    stage->loudspeakers[0].from_hz.number = 126;
    assert_near(gain_db(stage, 63), flat_db - 12.3045, 1e-4);
    assert_near(gain_db(stage, 6300), high_db, 1e-5);
    assert_near(stage_add_loudspeaker(stage)->from_hz.number, 70, 0);
    free(stage);
}

/* A loudspeaker that beams excites the room less: by its Q. */
static void
a_beam_excites_the_room_less(void **state)
{
    static const struct beam hemisphere = {
        1, {{1000, 4, {0, 89.999, 90.001, 180}, {0, 0, -200, -200}}}};
    struct stage *stage = face_to_face();
    double all_round_db;

    (void)state;
    assert_near(beam_q(&hemisphere, 1000), 2, 1e-3);
    stage->critical_m.number = 0.01; /* nothing but room */
    all_round_db = gain_db(stage, 63);
    stage->loudspeakers[0].beam = hemisphere;
    assert_near(gain_db(stage, 63), all_round_db - 10 * log10(2), 0.01);
    free(stage);
}

/* Through ears at 1 m. */
static void
loudspeakers_are_as_loud_as_published(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_loudspeakers); i++) {
        struct stage *stage = face_to_face();
        struct stage_loudspeaker *loudspeaker = &stage->loudspeakers[0];
        struct leg leg;

        stage_add_ears(stage)->at = (struct place){0, 1, 0};
        loudspeaker->sensitivity_db.number = reference_loudspeakers[i].db_per_watt;
        loudspeaker->amplifier_db.number = 10 * log10(8 * reference_loudspeakers[i].watts);
        assert_true(leg_to_ears(stage, 0, 0, &leg));
        assert_near(leg_db(&leg, 1000, beam_q(leg.beam, 1000)), reference_loudspeakers[i].db,
                    REFERENCE_LOUDSPEAKERS_WITHIN);
        free(stage);
    }
}

/* dBu are dBV and 2.2185; "10 mV/Pa at 72 dB SPL: 0.8 mV", "0.8 mV to 0.4 V: 54 dB" and "25 against 13
 * mV/Pa: 5.6 dB": Sound System Design Reference Manual, chapter 7, and socialsounddesign.com q3363; "-40
 * dBV/Pa = 10 mV/Pa = -60 dB against 1 V/ubar": sengpielaudio.com. */
static void
microphones_are_as_sensitive_as_published(void **state)
{
    struct stage *stage = face_to_face();
    struct stated *sensitivity = &stage->microphones[0].sensitivity_mv_per_pa;
    double twenty_five_db;

    (void)state;
    for (size_t i = 0; i < COUNT(reference_dbu); i++) {
        sensitivity->number = reference_dbu[i].mv_per_pa;
        for (size_t k = 0; k < COUNT(reference_dbu_spl); k++)
            assert_near(leg_of(stage).figures[LEG_MICROPHONE_DB].number + reference_dbu_spl[k] +
                            2.2185,
                        reference_dbu[i].dbu[k], 6e-4);
    }
    sensitivity->number = 10;
    assert_near(leg_of(stage).figures[LEG_MICROPHONE_DB].number + 93.9794, -40, 1e-6);
    assert_near(leg_of(stage).figures[LEG_MICROPHONE_DB].number + 73.9794, -60, 1e-6); /* 1 ubar */
    assert_near(20 * log10(0.4) - (leg_of(stage).figures[LEG_MICROPHONE_DB].number + 72), 54, 0.03);
    assert_near(pow(10, (leg_of(stage).figures[LEG_MICROPHONE_DB].number + 72) / 20) * 1000, 0.8,
                0.01);
    sensitivity->number = 25;
    twenty_five_db = leg_of(stage).figures[LEG_MICROPHONE_DB].number;
    sensitivity->number = 13;
    assert_near(twenty_five_db - leg_of(stage).figures[LEG_MICROPHONE_DB].number, 5.6, 0.09);
    for (size_t i = 0; i < COUNT(reference_preamps); i++) {
        double dbv;

        sensitivity->number = 1000 * pow(10, reference_preamps[i].dbv_per_pa / 20);
        dbv = leg_of(stage).figures[LEG_MICROPHONE_DB].number + 72;
        assert_near(-(dbv + 2.2185), reference_preamps[i].gain_db,
                    0.0211); /* 94 dB for 1 Pa there */
    }
    free(stage);
}

/* ---- how far it may be off ---- */

static double
give_or_take_db(const struct stage *stage)
{
    struct leg leg = leg_of(stage);

    return leg_give_or_take_db(&leg, 1000, beam_q(leg.beam, 1000));
}

/* On the axes, in the open and with everything given there is little more than the allowance's
 * spread, 1 dB each of loudspeaker and microphone, 0.5 dB each of amplifier and desk, 0.1 m in 2, and
 * what 10 degrees off the beam's axis take; all of it by hand. */
static void
what_is_given_is_off_by_little(void **state)
{
    struct stage *stage = face_to_face();
    double metres_db = 20 * log10(2 / 1.9);
    double beam_at_10_db = beam_db(&beam_usual, 10, 1000);
    double pattern_at_10_db = pattern_db(0.5, 10, -18);
    double squares = pow(PATTERN_ALLOWANCE_SPREAD_DB, 2) + 1 + 1 + 0.25 + 0.25 +
                     metres_db * metres_db + beam_at_10_db * beam_at_10_db +
                     pattern_at_10_db * pattern_at_10_db;

    (void)state;
    assert_near(give_or_take_db(stage), 1.645 * sqrt(squares), 1e-9);
    assert_true(give_or_take_db(stage) < 6);
    free(stage);
}

/* Each default makes it wider, and none narrower. */
static void
defaults_widen_it(void **state)
{
    struct stage *stage = face_to_face();
    struct stage_loudspeaker *loudspeaker = &stage->loudspeakers[0];
    struct stage_microphone *microphone = &stage->microphones[0];
    enum how *hows[] = {
        &loudspeaker->beam_how,         &microphone->axis_how,
        &microphone->pattern_how,       &stage->critical_m.how,
        &loudspeaker->amplifier_db.how, &loudspeaker->sensitivity_db.how,
        &stage->calibration_db.how,     &microphone->sensitivity_mv_per_pa.how,
    };
    double given_db, before_db;

    (void)state;
    stage->critical_m.number = 3;
    microphone->axis = (struct place){1, 0, 0};
    loudspeaker->axis = (struct place){1, 1, 0};
    given_db = before_db = give_or_take_db(stage);
    for (size_t i = 0; i < COUNT(hows); i++) {
        *hows[i] = i < 4 ? BY_DEFAULT : STANDS_IN;
        assert_true(give_or_take_db(stage) > before_db);
        before_db = give_or_take_db(stage);
    }
    assert_true(before_db > given_db + 6);
    free(stage);
}

static void
stand_ins_make_no_absolute_gain(void **state)
{
    struct stage *stage = face_to_face();
    struct leg leg = leg_of(stage);

    (void)state;
    assert_true(leg_is_absolute(&leg));
    stage->calibration_db.how = STANDS_IN;
    leg = leg_of(stage);
    assert_false(leg_is_absolute(&leg));
    free(stage);
}

/* ---- pairs ---- */

/* A pair with the tape is the same as two places that lie so. */
static void
a_pair_is_as_good_as_two_places(void **state)
{
    struct stage *placed = face_to_face(), *taped = face_to_face();
    struct stage_pair *pair;

    (void)state;
    placed->microphones[0].axis = (struct place){0.5, -sqrt(0.75), 0};
    placed->loudspeakers[0].axis = (struct place){0, 0, 1};
    taped->microphones[0].placed = taped->loudspeakers[0].placed = false;
    taped->microphones[0].inputs = (struct serves){1, {17}};
    taped->loudspeakers[0].mixes = (struct serves){1, {0}};
    pair = stage_add_pair(taped, 17, 0);
    assert_non_null(pair);
    assert_int_equal(taped->microphone_count, 1);
    assert_int_equal(taped->loudspeaker_count, 1);
    pair->metres = 2;
    pair->microphone_degrees = 30;
    pair->loudspeaker_degrees = 90;
    for (double hz = 31.5; hz < 20000; hz *= 2)
        assert_near(gain_db(taped, hz), gain_db(placed, hz), 1e-9);
    free(placed);
    free(taped);
}

/* The short form alone: all but the pair is a default or stands in. */
static void
a_pair_alone_is_a_plan(void **state)
{
    struct stage *stage = stage_new();
    struct leg leg;

    (void)state;
    *stage_add_pair(stage, 17, 0) = (struct stage_pair){0, 0, 1.4, 150, 10};
    assert_true(leg_to_microphone(stage, 0, 0, &leg));
    assert_near(leg.figures[LEG_METRES].number, 1.4, 0);
    assert_near(leg.figures[LEG_PATTERN].number, 0.5, 0);
    assert_false(leg_is_absolute(&leg));
    *stage_add_pair(stage, 3, 1) = (struct stage_pair){1, 1, 2, 120, 0};
    assert_false(leg_to_microphone(stage, 0, 1, &leg)); /* nobody measured that one */
    assert_true(leg_to_microphone(stage, 1, 1, &leg));
    free(stage);
}

/* Mirrored left to right, nothing changes. */
static void
mirror_images_are_alike(void **state)
{
    struct dice dice = dice_new();
    struct stage *stage = face_to_face(), *mirror = face_to_face();

    (void)state;
    for (int round = 0; round < 1000; round++) {
        struct place at = {dice_between(&dice, -5, 5), dice_between(&dice, -5, 5),
                           dice_between(&dice, 0, 3)};
        struct place axis = {dice_between(&dice, -1, 1), dice_between(&dice, -1, 1), 1};

        stage->loudspeakers[0].at = stage->microphones[0].axis = at;
        stage->loudspeakers[0].axis = axis;
        at.x_m = -at.x_m;
        axis.x_m = -axis.x_m;
        mirror->loudspeakers[0].at = mirror->microphones[0].axis = at;
        mirror->loudspeakers[0].axis = axis;
        assert_near(gain_db(mirror, 1000), gain_db(stage, 1000), 1e-9);
        assert_near(give_or_take_db(mirror), give_or_take_db(stage), 1e-6);
    }
    free(stage);
    free(mirror);
}

int
main(void)
{
    static const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_part_is_in_the_sum),
        cmocka_unit_test(angles_take_off_what_pattern_and_beam_say),
        cmocka_unit_test(the_room_is_added_as_power),
        cmocka_unit_test(less_is_allowed_in_the_lows),
        cmocka_unit_test(the_lows_fall_below_where_they_begin),
        cmocka_unit_test(a_beam_excites_the_room_less),
        cmocka_unit_test(loudspeakers_are_as_loud_as_published),
        cmocka_unit_test(microphones_are_as_sensitive_as_published),
        cmocka_unit_test(what_is_given_is_off_by_little),
        cmocka_unit_test(defaults_widen_it),
        cmocka_unit_test(stand_ins_make_no_absolute_gain),
        cmocka_unit_test(a_pair_is_as_good_as_two_places),
        cmocka_unit_test(a_pair_alone_is_a_plan),
        cmocka_unit_test(mirror_images_are_alike),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
