/* SPDX-License-Identifier: MIT */
/* First-order microphones beside published figures. */
#include "unit.h"

#include <math.h>

#include "stage.h"
#include "stage/pattern.h"

/* The angle over which it stays above -db, in halves of the interval. */
static double
arc_degrees(double a, double db)
{
    double least = 0, most = pattern_null_degrees(a);

    while (most - least > 1e-9) {
        double middle = (least + most) / 2;

        if (pattern_db(a, middle, -HUGE_VAL) > -db)
            least = middle;
        else
            most = middle;
    }
    return 2 * least;
}

/* Power from in front against power from behind, in rings of a quarter of a degree. */
static double
front_to_back_db(double a)
{
    double front = 0, back = 0;

    for (double degrees = 0.125; degrees < 180; degrees += 0.25) {
        double power = pow(10, pattern_db(a, degrees, -200) / 10) * sin(acos(-1) * degrees / 180);

        *(degrees < 90 ? &front : &back) += power;
    }
    return 10 * log10(front / back);
}

static void
patterns_are_the_published_ones(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_patterns); i++) {
        const char *name = reference_patterns[i].name;
        double a = reference_patterns[i].a;
        double back_db = pattern_db(a, 180, -HUGE_VAL);

        assert_near_in(name, pattern_db(a, 0, -HUGE_VAL), 0, 0);
        assert_near_in(name, pattern_db(a, 120, -HUGE_VAL), reference_patterns[i].db_120, 6e-4);
        assert_near_in(name, pattern_db(a, 135, -HUGE_VAL), reference_patterns[i].db_135, 6e-4);
        if (isfinite(reference_patterns[i].db_180))
            assert_near_in(name, back_db, reference_patterns[i].db_180, 6e-5);
        else
            assert_true(back_db < -300);
        if (isfinite(reference_patterns[i].db_90))
            assert_near_in(name, pattern_db(a, 90, -HUGE_VAL), reference_patterns[i].db_90, 6e-5);
        else
            assert_true(pattern_db(a, 90, -HUGE_VAL) < -300);
    }
}

static void
arcs_and_nulls_are_the_published_ones(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_patterns); i++) {
        const char *name = reference_patterns[i].name;
        double a = reference_patterns[i].a;

        if (!isnan(reference_patterns[i].null_degrees))
            assert_near_in(name, pattern_null_degrees(a), reference_patterns[i].null_degrees, 6e-4);
        if (isnan(reference_patterns[i].arc_3_degrees))
            continue;
        assert_near_in(name, arc_degrees(a, 6), reference_patterns[i].arc_6_degrees, 1e-3);
        assert_near_in(name, arc_degrees(a, 3), reference_patterns[i].arc_3_degrees, 1e-3);
    }
}

static void
energies_are_the_published_ones(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_patterns); i++) {
        const char *name = reference_patterns[i].name;
        double a = reference_patterns[i].a, q = 1 / pattern_random_energy(a);

        assert_near_in(name, pattern_random_energy(a), reference_patterns[i].ree, 6e-7);
        assert_near_in(name, q, reference_patterns[i].q, 6e-6);
        assert_near_in(name, 10 * log10(q), reference_patterns[i].di_db, 6e-5);
        assert_near_in(name, sqrt(q), reference_patterns[i].distance_factor, 6e-5);
        assert_near_in(name, front_to_back_db(a), reference_patterns[i].front_to_back_db, 1e-3);
    }
    assert_near(1 / pattern_random_energy(0.5), 3, 1e-12);        /* lp2cd.com */
    assert_near(sqrt(1 / pattern_random_energy(0.5)), 1.7, 0.05); /* the same */
}

static void
hyperphysics_prints_the_same(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_hyperphysics); i++) {
        const char *name = reference_hyperphysics[i].name;
        double a = reference_hyperphysics[i].a;

        if (isfinite(reference_hyperphysics[i].db_90))
            assert_near_in(name, pattern_db(a, 90, -HUGE_VAL), reference_hyperphysics[i].db_90,
                           0.05);
        if (isfinite(reference_hyperphysics[i].db_180))
            assert_near_in(name, pattern_db(a, 180, -HUGE_VAL), reference_hyperphysics[i].db_180,
                           0.05);
        if (isnan(reference_hyperphysics[i].null_degrees))
            continue;
        assert_near_in(name, pattern_null_degrees(a), reference_hyperphysics[i].null_degrees, 0.6);
        assert_near_in(name, arc_degrees(a, 3), reference_hyperphysics[i].arc_3_degrees, 0.9);
        assert_near_in(name, arc_degrees(a, 6), reference_hyperphysics[i].arc_6_degrees, 0.9);
    }
}

/* DPA Microphones dictionary, "1st Order Pattern". */
static void
a_plan_means_the_published_ones(void **state)
{
    (void)state;
    assert_near(pattern_rows[PATTERN_OMNIDIRECTIONAL].a, 1, 0);
    assert_near(pattern_rows[PATTERN_SUBCARDIOID].a, 0.7, 0);
    assert_near(pattern_rows[PATTERN_CARDIOID].a, 0.5, 0);
    assert_near(pattern_rows[PATTERN_SUPERCARDIOID].a, 0.37, 0);
    assert_near(pattern_rows[PATTERN_HYPERCARDIOID].a, 0.25, 0);
    assert_near(pattern_rows[PATTERN_FIGURE_OF_EIGHT].a, 0, 0);
}

static void
nulls_are_no_deeper_than_the_floor(void **state)
{
    (void)state;
    assert_near(pattern_db(0.5, 180, PATTERN_FLOOR_DB), -18, 0);
    assert_near(pattern_db(0.25, 109.4712, -25), -25, 0);
    assert_near(pattern_db(0.25, 180, -18), -6.0206, 6e-5);
}

int
main(void)
{
    static const struct CMUnitTest tests[] = {
        cmocka_unit_test(patterns_are_the_published_ones),
        cmocka_unit_test(arcs_and_nulls_are_the_published_ones),
        cmocka_unit_test(energies_are_the_published_ones),
        cmocka_unit_test(hyperphysics_prints_the_same),
        cmocka_unit_test(a_plan_means_the_published_ones),
        cmocka_unit_test(nulls_are_no_deeper_than_the_floor),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
