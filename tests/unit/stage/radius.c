/* SPDX-License-Identifier: MIT */
/* Spectral radii that are known without working them out; the rest is beside NumPy (tests/cross). */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "stage/radius.h"

static void
is_within(struct radius radius, double truth)
{
    assert_true(radius.least <= truth * (1 + 1e-12));
    assert_true(radius.most >= truth * (1 - 1e-12));
    assert_true(radius.most <= radius.least * RADIUS_CLOSE);
}

static void
is_exactly(struct radius radius, double truth)
{
    assert_near(radius.least, truth, 0);
    assert_near(radius.most, truth, 0);
}

static void
nothing_closes_no_loop(void **state)
{
    static const double none[16];
    static const double nilpotent[9] = {0, 2, 3, 0, 0, 4, 0, 0, 0};

    (void)state;
    is_exactly(radius_of(none, 0), 0);
    is_exactly(radius_of(none, 1), 0);
    is_exactly(radius_of(none, 4), 0);
    is_exactly(radius_of(nilpotent, 3), 0);
}

static void
a_single_row_is_its_own(void **state)
{
    static const double one[1] = {0.37};
    static const double triangle[9] = {0.2, 5, 7, 0, 0.9, 3, 0, 0, 0.4};
    static const double turned[9] = {0.2, 0, 0, 5, 0.9, 0, 7, 3, 0.4};

    (void)state;
    is_exactly(radius_of(one, 1), 0.37);
    is_exactly(radius_of(triangle, 3), 0.9);
    is_exactly(radius_of(turned, 3), 0.9); /* its ways lead back to rows that were done before */
}

/* Round in a circle: the geometric mean, which plain power iteration never settles on. */
static void
circles_do_not_swing(void **state)
{
    static const double two[4] = {0, 8, 2, 0};
    static const double three[9] = {0, 1e-3, 0, 0, 0, 1, 1e-3, 0, 0};

    (void)state;
    is_within(radius_of(two, 2), 4);
    is_within(radius_of(three, 3), 1e-2);
}

/* Two circles and a way from one to the other, which closes nothing: the larger counts. */
static void
the_largest_part_counts(void **state)
{
    static const double rows[16] = {0, 4, 100, 0, 1, 0, 0, 0, 0, 0, 0, 9, 0, 0, 1, 0};
    static const double shuffled[16] = {0, 0, 9, 0, 100, 0, 0, 4, 1, 0, 0, 0, 0, 1, 0, 0};

    (void)state;
    is_within(radius_of(rows, 4), 3);
    is_within(radius_of(shuffled, 4), 3);
}

/* All alike: N times the one, 20 log10 N of worst and 10 log10 N of random phases. */
static void
equal_entries_make_n(void **state)
{
    double rows[RADIUS_SIZE * RADIUS_SIZE];

    (void)state;
    for (int size = 1; size <= RADIUS_SIZE; size++) {
        for (int i = 0; i < size * size; i++)
            rows[i] = 0.25;
        is_exactly(radius_of(rows, size), 0.25 * size);
    }
}

/* An outer product has one radius that is not 0: its inner product. */
static void
outer_products_have_their_inner_one(void **state)
{
    struct dice dice = dice_new();
    double rows[RADIUS_SIZE * RADIUS_SIZE], left[RADIUS_SIZE], right[RADIUS_SIZE];

    (void)state;
    for (int round = 0; round < 200; round++) {
        int size = 2 + dice_below(&dice, RADIUS_SIZE - 1);
        double inner = 0;

        for (int i = 0; i < size; i++) {
            left[i] = pow(10, dice_between(&dice, -4, 0));
            right[i] = pow(10, dice_between(&dice, -4, 0));
            inner += left[i] * right[i];
        }
        for (int i = 0; i < size * size; i++)
            rows[i] = left[i / size] * right[i % size];
        is_within(radius_of(rows, size), inner);
    }
}

/* Whatever it is scaled by, so are both bounds. */
static void
scaling_scales_both(void **state)
{
    struct dice dice = dice_new();
    double rows[100], scaled[100];

    (void)state;
    for (int round = 0; round < 500; round++) {
        double by = pow(2, dice_below(&dice, 60) - 30); /* which rounds nothing */
        struct radius one, other;

        for (int i = 0; i < 100; i++) {
            rows[i] = dice_below(&dice, 3) ? pow(10, dice_between(&dice, -3, 0)) : 0;
            scaled[i] = by * rows[i];
        }
        one = radius_of(rows, 10);
        other = radius_of(scaled, 10);
        assert_near(other.least, by * one.least, 0);
        assert_near(other.most, by * one.most, 0);
    }
}

/* A circle of 64 with weights far apart settles too slowly: the bounds say so and still hold. */
static void
what_does_not_settle_keeps_its_bounds(void **state)
{
    double rows[RADIUS_SIZE * RADIUS_SIZE];
    struct radius radius;

    (void)state;
    memset(rows, 0, sizeof rows);
    for (int i = 0; i < RADIUS_SIZE; i++)
        rows[i * RADIUS_SIZE + (i + 1) % RADIUS_SIZE] = i % 2 ? 1 : 1e-4;
    rows[0 * RADIUS_SIZE + 1] = 1;
    radius = radius_of(rows, RADIUS_SIZE);
    assert_true(radius.least <= pow(1e-4, 31 / 64.0));
    assert_true(radius.most >= pow(1e-4, 31 / 64.0));
    assert_true(radius.most > radius.least * RADIUS_CLOSE);
    assert_true(radius.most < 1);
}

int
main(void)
{
    static const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_closes_no_loop),
        cmocka_unit_test(a_single_row_is_its_own),
        cmocka_unit_test(circles_do_not_swing),
        cmocka_unit_test(the_largest_part_counts),
        cmocka_unit_test(equal_entries_make_n),
        cmocka_unit_test(outer_products_have_their_inner_one),
        cmocka_unit_test(scaling_scales_both),
        cmocka_unit_test(what_does_not_settle_keeps_its_bounds),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
