/* SPDX-License-Identifier: MIT */
/* The plan as values: what stands where it says nothing. */
#include "unit.h"

#include <math.h>
#include <stdlib.h>

#include "stage/stage.h"
#include "stage/vector.h"

static void
defaults_say_what_they_are(void **state)
{
    struct stage *stage = stage_new();
    const struct stage_microphone *microphone = stage_add_microphone(stage);
    const struct stage_loudspeaker *loudspeaker = stage_add_loudspeaker(stage);
    const struct stage_ears *ears = stage_add_ears(stage);

    (void)state;
    assert_int_equal(stage->critical_m.how, BY_DEFAULT);
    assert_int_equal(stage->calibration_db.how, STANDS_IN);
    assert_int_equal(microphone->pattern, PATTERN_CARDIOID);
    assert_int_equal(microphone->pattern_how, BY_DEFAULT);
    assert_near(microphone->floor_db.number, -18, 0);
    assert_int_equal(microphone->floor_db.how, BY_DEFAULT);
    assert_int_equal(microphone->sensitivity_mv_per_pa.how, STANDS_IN);
    assert_false(microphone->in_hand);
    assert_int_equal(loudspeaker->sensitivity_db.how, STANDS_IN);
    assert_int_equal(loudspeaker->amplifier_db.how, STANDS_IN);
    assert_int_equal(loudspeaker->beam_how, BY_DEFAULT);
    assert_int_equal(ears->noise_db.how, STANDS_IN);
    assert_int_equal(ears->mix, -1);
    free(stage);
}

/* One more than there is room for is refused, and nothing is written beyond. */
static void
it_holds_so_many_and_no_more(void **state)
{
    struct stage *stage = stage_new();

    (void)state;
    for (int i = 0; i < STAGE_MICROPHONES; i++)
        assert_non_null(stage_add_microphone(stage));
    for (int i = 0; i < STAGE_LOUDSPEAKERS; i++)
        assert_non_null(stage_add_loudspeaker(stage));
    for (int i = 0; i < STAGE_EARS; i++)
        assert_non_null(stage_add_ears(stage));
    assert_null(stage_add_microphone(stage));
    assert_null(stage_add_loudspeaker(stage));
    assert_null(stage_add_ears(stage));
    assert_null(stage_add_pair(stage, 1, 1));
    assert_int_equal(stage->pair_count, 0);
    free(stage);
}

static void
it_holds_so_many_pairs(void **state)
{
    struct stage *stage = stage_new();

    (void)state;
    for (int i = 0; i < STAGE_PAIRS; i++)
        assert_non_null(stage_add_pair(stage, i % 20, i % 16));
    assert_null(stage_add_pair(stage, 0, 0));
    assert_int_equal(stage->microphone_count, 20);
    assert_int_equal(stage->loudspeaker_count, 16);
    free(stage);
}

static void
mixes_are_counted_once(void **state)
{
    struct stage *stage = stage_new();
    int mixes[3] = {-1, -1, -1};

    (void)state;
    assert_int_equal(stage_mixes(stage, mixes, 3), 0);
    stage_add_loudspeaker(stage)->mixes = (struct serves){2, {4, 2}};
    stage_add_loudspeaker(stage)->mixes = (struct serves){3, {2, 7, 5}};
    assert_int_equal(stage_mixes(stage, mixes, 3), 4);
    assert_int_equal(mixes[0], 4);
    assert_int_equal(mixes[1], 2);
    assert_int_equal(mixes[2], 7);
    free(stage);
}

static void
a_wedge_faces_the_ears_it_is_for(void **state)
{
    struct stage *stage = stage_new();
    struct stage_loudspeaker *loudspeaker = stage_add_loudspeaker(stage);
    struct place axis;

    (void)state;
    axis = stage_loudspeaker_axis(stage, 0); /* nobody there: away from the audience */
    assert_near(axis.y_m, 1, 0);
    stage_add_microphone(stage)->placed = true;
    stage->microphones[0].at = (struct place){3, 0, 4};
    axis = stage_loudspeaker_axis(stage, 0);
    assert_near(axis.x_m, 0.6, 1e-12);
    assert_near(axis.z_m, 0.8, 1e-12);
    loudspeaker->mixes = (struct serves){2, {4, 2}};
    stage_add_ears(stage)->at = (struct place){0.1, 0, 0}; /* another's */
    stage_add_ears(stage)->at = (struct place){0, 3, -4};
    stage->ears[1].mix = 2;
    axis = stage_loudspeaker_axis(stage, 0);
    assert_near(axis.y_m, 0.6, 1e-12);
    assert_near(axis.z_m, -0.8, 1e-12);
    loudspeaker->house = true;
    assert_near(stage_loudspeaker_axis(stage, 0).y_m, -1, 0);
    loudspeaker->axis_how = GIVEN;
    loudspeaker->axis = (struct place){1, 0, 0};
    assert_near(stage_loudspeaker_axis(stage, 0).x_m, 1, 0);
    free(stage);
}

/* W. C. Sabine's formula: 1,000 m3 and 1 s are 161 m2 of absorption, whose critical distance is 0.141
 * sqrt(161) = 1.79 m. */
static void
a_room_has_its_critical_distance(void **state)
{
    (void)state;
    assert_near(stage_critical_m(1000, 1), 0.14105 * sqrt(161), 1e-3);
    assert_near(stage_critical_m(4000, 1), 2 * stage_critical_m(1000, 1), 1e-12);
    assert_near(stage_critical_m(1000, 4), stage_critical_m(1000, 1) / 2, 1e-12);
}

static void
vectors_are_what_geometry_says(void **state)
{
    (void)state;
    assert_near(vector_length((struct place){2, 3, 6}), 7, 1e-12);
    assert_near(vector_degrees((struct place){1, 0, 0}, (struct place){0, 0, 5}), 90, 1e-9);
    assert_near(vector_degrees((struct place){1, 1, 0}, (struct place){-2, -2, 0}), 180, 1e-5);
    assert_near(vector_degrees((struct place){1, 0, 0}, (struct place){1, sqrt(3), 0}), 60, 1e-9);
}

int
main(void)
{
    static const struct CMUnitTest tests[] = {
        cmocka_unit_test(defaults_say_what_they_are),
        cmocka_unit_test(it_holds_so_many_and_no_more),
        cmocka_unit_test(it_holds_so_many_pairs),
        cmocka_unit_test(mixes_are_counted_once),
        cmocka_unit_test(a_wedge_faces_the_ears_it_is_for),
        cmocka_unit_test(a_room_has_its_critical_distance),
        cmocka_unit_test(vectors_are_what_geometry_says),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
