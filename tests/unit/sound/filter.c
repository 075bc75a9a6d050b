/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <math.h>

#include "filters.h"
#include "sound/filter.h"

static const double rate_hz = 48000;
static const double pi = 3.14159265358979323846;
static const double third_octave_q = 4.318473; /* as the width table states it */

/* The cookbook's Q for a filter stated by bandwidth or by shelf slope. */
static double
q_of(enum reference_width by, double width, double hz, double gain_db)
{
    double w0 = 2 * pi * hz / rate_hz;
    double a = pow(10, gain_db / 40);

    if (by == BY_OCTAVES)
        return 1 / (2 * sinh(log(2) / 2 * width * w0 / sin(w0)));
    return by == BY_SLOPE ? 1 / sqrt((a + 1 / a) * (1 / width - 1) + 2) : width;
}

static struct biquad
reference_biquad(size_t i)
{
    double q = q_of(reference_filters[i].by, reference_filters[i].width, reference_filters[i].hz,
                    reference_filters[i].gain_db);

    return filter_biquad(reference_filters[i].shape, reference_filters[i].hz,
                         reference_filters[i].gain_db, q, rate_hz);
}

static double
response_db(const struct biquad *biquad, double hz)
{
    return filter_biquad_at(biquad, filter_warp(hz, rate_hz));
}

/* So far below the sample rate that the bilinear transform bends nothing. */
static double
analogue_q(double octaves)
{
    return filter_q_of_octaves_at(octaves, 1, 1e9);
}

/* The digital coefficients of a section, a0 = 1, by the bilinear transform s = (1 - z) / (1 + z) /
 * warp. */
static void
bilinear(const struct biquad *biquad, double coefficients[5])
{
    double k = 1 / biquad->warp;
    double a0 = biquad->d0 + biquad->d1 * k + biquad->d2 * k * k;

    coefficients[0] = (biquad->n0 + biquad->n1 * k + biquad->n2 * k * k) / a0;
    coefficients[1] = 2 * (biquad->n0 - biquad->n2 * k * k) / a0;
    coefficients[2] = (biquad->n0 - biquad->n1 * k + biquad->n2 * k * k) / a0;
    coefficients[3] = 2 * (biquad->d0 - biquad->d2 * k * k) / a0;
    coefficients[4] = (biquad->d0 - biquad->d1 * k + biquad->d2 * k * k) / a0;
}

/* The table has 12 significant digits of numbers up to 4: half of the last is 5e-12, ten times
 * which leaves room for the rounding of the arithmetic. */
static void
coefficients_are_the_cookbooks(void **state)
{
    (void)state;
    assert_int_equal(COUNT(reference_filters), 15);
    for (size_t i = 0; i < COUNT(reference_filters); i++) {
        const struct biquad got = reference_biquad(i);
        double numbers[5];

        bilinear(&got, numbers);
        for (size_t j = 0; j < COUNT(numbers); j++)
            assert_near_in(reference_filters[i].name, numbers[j],
                           reference_filters[i].coefficients[j], 5e-11);
    }
}

/* The table has 6 decimals: half of the last is 5e-7. */
static void
responses_are_the_tables(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_filters); i++) {
        const struct biquad biquad = reference_biquad(i);

        for (int place = 0; place < REFERENCE_PLACES; place++)
            assert_near_in(reference_filters[i].name,
                           response_db(&biquad, reference_filter_hz[place]),
                           reference_filters[i].response_db[place], 6e-7);
        if (!isnan(reference_filters[i].at_hz_db))
            assert_near_in(reference_filters[i].name, response_db(&biquad, reference_filters[i].hz),
                           reference_filters[i].at_hz_db, 6e-7);
    }
}

/* A notch takes its own frequency away altogether: minus infinity, or whatever rounding leaves of
 * it, but far down and never NaN, wherever the notch stands. */
static void
notch_is_silent_at_its_centre_everywhere(void **state)
{
    (void)state;
    for (double hz = 20; hz < 20000; hz *= 1.0123) {
        const struct biquad biquad = filter_biquad(SHAPE_NOTCH, hz, 0, 30, rate_hz);
        double db = response_db(&biquad, hz);

        if (!(db < -200))
            print_error("notch at %.10g Hz: %g dB\n", hz, db);
        assert_true(db < -200); /* fails for NaN too */
    }
}

/* Boost and cut of the same Q cancel exactly (cookbook). */
static void
boost_and_cut_cancel(void **state)
{
    static const enum shape shapes[] = {SHAPE_PEAK, SHAPE_LOW_SHELF, SHAPE_HIGH_SHELF};

    (void)state;
    for (size_t i = 0; i < COUNT(shapes); i++) {
        const struct biquad boost = filter_biquad(shapes[i], 700, 9, 2.5, rate_hz);
        const struct biquad cut = filter_biquad(shapes[i], 700, -9, 2.5, rate_hz);

        for (double hz = 20; hz < 20000; hz *= 1.1)
            assert_near(response_db(&boost, hz) + response_db(&cut, hz), 0, 1e-9);
    }
}

/* A shape at 48 kHz or above its half must still be a filter with finite numbers. */
static void
frequency_is_held_below_nyquist(void **state)
{
    (void)state;
    for (int shape = SHAPE_PEAK; shape <= SHAPE_NOTCH; shape++)
        for (double hz = 23000; hz <= 48000; hz += 500) {
            const struct biquad biquad = filter_biquad((enum shape)shape, hz, -12, 1, rate_hz);

            assert_true(isfinite(response_db(&biquad, 1000)));
        }
}

/* Each table is rounded to 6 decimals. Where the rounded number goes in, its error comes out times
 * the slope: dQ / dOctaves = -Q / octaves for narrow filters, less for wide ones. */
static void
q_of_octaves_is_the_tables(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_q_of_octaves); i++)
        assert_near(analogue_q(reference_q_of_octaves[i].octaves), reference_q_of_octaves[i].q,
                    6e-7);
    for (size_t i = 0; i < COUNT(reference_octaves_of_q); i++) {
        double q = reference_octaves_of_q[i].q, octaves = reference_octaves_of_q[i].octaves;

        assert_near(analogue_q(octaves), q, 6e-7 * q / octaves);
    }
}

/* Frequency between `low` and `high` where the response passes through `db`. */
static double
crossing_hz(const struct biquad *biquad, double db, double low, double high)
{
    bool rising = response_db(biquad, high) > response_db(biquad, low);

    for (int i = 0; i < 100; i++) {
        double middle = (low + high) / 2;

        if ((response_db(biquad, middle) < db) == rising)
            low = middle;
        else
            high = middle;
    }
    return (low + high) / 2;
}

/* 4 decimals of hertz, 6 of octaves. */
static void
half_gain_widths_are_the_tables(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_half_gain); i++) {
        double hz = reference_half_gain[i].hz;
        enum reference_width by = reference_half_gain[i].by;
        double width = by == BY_Q ? third_octave_q : 1.0 / 3;
        const struct biquad biquad =
            filter_biquad(SHAPE_PEAK, hz, -9, q_of(by, width, hz, -9), rate_hz);
        double lower = crossing_hz(&biquad, -4.5, hz / 2, hz);
        double upper = crossing_hz(&biquad, -4.5, hz, fmin(2 * hz, 23000));

        assert_near(lower, reference_half_gain[i].lower_hz, 6e-5);
        assert_near(upper, reference_half_gain[i].upper_hz, 6e-5);
        assert_near(log2(upper / lower), reference_half_gain[i].octaves, 6e-7);
    }
}

/* 6 decimals. The loss is written with the sign turned. */
static void
high_pass_loss_is_butterworths(void **state)
{
    (void)state;
    for (int order = 1; order <= 4; order++)
        for (int i = 0; i < REFERENCE_RATIOS; i++)
            assert_near(filter_high_pass_loss_db(order, 100, 100 * reference_ratios[i]),
                        -reference_butterworth_db[order - 1][i], 6e-7);
}

/* As a filter at a sample rate it is the cookbook's high-pass where that has Butterworth's Q: order
 * 2 is one section, order 4 two (reference: sections with Q 0.541196 and 1.306563, that is 1 / (2
 * cos(pi / 8)) and 1 / (2 cos(3 pi / 8))). */
static void
high_pass_at_a_sample_rate_is_its_sections(void **state)
{
    static const double corners[] = {20, 100, 1000, 8000};

    (void)state;
    for (size_t i = 0; i < COUNT(corners); i++)
        for (double hz = 20; hz < 20000; hz *= 1.3) {
            const struct biquad two =
                filter_biquad(SHAPE_HIGH_PASS, corners[i], 0, sqrt(0.5), rate_hz);
            const struct biquad one =
                filter_biquad(SHAPE_HIGH_PASS, corners[i], 0, 1 / (2 * cos(pi / 8)), rate_hz);
            const struct biquad other =
                filter_biquad(SHAPE_HIGH_PASS, corners[i], 0, 1 / (2 * cos(3 * pi / 8)), rate_hz);

            assert_near(filter_high_pass_db(2, corners[i], hz, rate_hz), response_db(&two, hz),
                        1e-9);
            assert_near(filter_high_pass_db(4, corners[i], hz, rate_hz),
                        response_db(&one, hz) + response_db(&other, hz), 1e-9);
        }
}

/* Far below the sample rate it is the analogue filter; the corner stays at -3 dB everywhere. */
static void
high_pass_at_a_sample_rate_keeps_its_corner(void **state)
{
    (void)state;
    for (int order = 1; order <= 4; order++) {
        for (double hz = 20; hz < 20000; hz *= 1.5)
            assert_near(filter_high_pass_db(order, hz, hz, rate_hz), -3.010300, 6e-7);
        for (int i = 0; i < REFERENCE_RATIOS; i++)
            assert_near(filter_high_pass_db(order, 20, 20 * reference_ratios[i], rate_hz),
                        reference_butterworth_db[order - 1][i], 1e-3);
    }
}

/* A width in octaves is held against the transform: cookbook, BW * w0 / sin w0. */
static void
q_at_a_centre_holds_the_width(void **state)
{
    (void)state;
    for (double hz = 20; hz < 20000; hz *= 1.4)
        assert_near(filter_q_of_octaves_at(1.0 / 3, hz, rate_hz), q_of(BY_OCTAVES, 1.0 / 3, hz, 0),
                    1e-9);
    assert_near(filter_q_of_octaves_at(1.0 / 3, 20, rate_hz), third_octave_q, 1e-5);
}

/* Near half the sample rate the transform asks for a width without end; what comes out stays a
 * number. */
static void
any_width_gives_numbers(void **state)
{
    static const double octaves[] = {0.01, 1, 4, 1000};
    static const double centres_hz[] = {1, 1000, 20000, 23990, 24000, 48000};

    (void)state;
    for (size_t i = 0; i < COUNT(octaves); i++)
        for (size_t j = 0; j < COUNT(centres_hz); j++) {
            double q = filter_q_of_octaves_at(octaves[i], centres_hz[j], rate_hz);
            const struct biquad biquad = filter_biquad(SHAPE_PEAK, centres_hz[j], -60, q, rate_hz);

            assert_true(q > 0);
            for (double hz = 20; hz < 24000; hz *= 1.9)
                assert_true(isfinite(response_db(&biquad, hz)));
        }
}

/* Q and width are each other's inverse far below the sample rate. */
static void
octaves_of_a_q_are_the_tables(void **state)
{
    (void)state;
    assert_near(filter_octaves_of_q(third_octave_q), 1.0 / 3, 1e-6);
    for (double octaves = 0.05; octaves < 4; octaves *= 1.3)
        assert_near(filter_octaves_of_q(analogue_q(octaves)), octaves, 1e-9);
}

/* What the coefficients say of the highest point, against the highest of 20,000 places from 0.2 Hz
 * to 23.999 kHz. Resonant cuts lift too. */
static void
peaks_are_found(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 300; round++) {
        enum shape shape = (enum shape)dice_below(&dice, 6);
        double gain_db = dice_between(&dice, -18, 18), q = dice_between(&dice, 0.3, 3);
        double hz = 20 * pow(900, dice_between(&dice, 0, 1)), most_db = -HUGE_VAL, peak_db;
        const struct biquad biquad = filter_biquad(shape, hz, gain_db, q, rate_hz);

        for (int i = 0; i < 20000; i++)
            most_db = fmax(most_db, response_db(&biquad, 0.2 * pow(23999 / 0.2, i / 19999.0)));
        peak_db = 10 * log10(filter_peak_power(&biquad));
        assert_true(most_db <= peak_db + 1e-9);
        if (peak_db > 1e-6) /* else it comes near 0 dB at an end that no place reaches */
            assert_near(peak_db, most_db, 0.01);
    }
}

static void
order_follows_the_slope(void **state)
{
    static const struct {
        double slope;
        int order;
    } rows[] = {{3, 1},  {6, 1},       {6.0206, 1}, {9.1, 2}, {12, 2},
                {18, 3}, {18.0618, 3}, {24, 4},     {48, 8},  {96, 16}};

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_int_equal(filter_order(rows[i].slope), rows[i].order);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(coefficients_are_the_cookbooks),
        cmocka_unit_test(responses_are_the_tables),
        cmocka_unit_test(notch_is_silent_at_its_centre_everywhere),
        cmocka_unit_test(boost_and_cut_cancel),
        cmocka_unit_test(frequency_is_held_below_nyquist),
        cmocka_unit_test(q_of_octaves_is_the_tables),
        cmocka_unit_test(half_gain_widths_are_the_tables),
        cmocka_unit_test(high_pass_loss_is_butterworths),
        cmocka_unit_test(high_pass_at_a_sample_rate_is_its_sections),
        cmocka_unit_test(high_pass_at_a_sample_rate_keeps_its_corner),
        cmocka_unit_test(q_at_a_centre_holds_the_width),
        cmocka_unit_test(any_width_gives_numbers),
        cmocka_unit_test(octaves_of_a_q_are_the_tables),
        cmocka_unit_test(peaks_are_found),
        cmocka_unit_test(order_follows_the_slope),
    };

    return cmocka_run_group_tests_name("filter", tests, NULL, NULL);
}
