/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <math.h>

#include "bands.h"
#include "sound/band.h"

static double
total(const double shares[BANDS])
{
    double sum = 0;

    for (int band = 0; band < BANDS; band++)
        sum += shares[band];
    return sum;
}

/* 4 decimals. */
static void
centres_are_the_standards(void **state)
{
    (void)state;
    assert_int_equal(COUNT(reference_bands), BANDS);
    for (int band = 0; band < BANDS; band++) {
        assert_near(band_exact_hz(band), reference_bands[band].exact_hz, 6e-5);
        assert_near(band_graphic_nominal_hz(BANDS, band), reference_bands[band].nominal_hz, 0);
    }
}

/* Neighbours meet: the geometric mean of two centres is the edge between them (formulas 4 and 5).
 */
static void
edges_are_the_standards(void **state)
{
    (void)state;
    for (int band = 0; band + 1 < BANDS; band++) {
        double edge = sqrt(band_exact_hz(band) * band_exact_hz(band + 1));

        assert_near(edge, reference_bands[band].upper_hz, 6e-5);
        assert_near(edge, reference_bands[band + 1].lower_hz, 6e-5);
    }
}

static void
graphic_of_31_has_third_octaves(void **state)
{
    (void)state;
    for (int band = 0; band < BANDS; band++) {
        assert_near(band_graphic_hz(BANDS, band), reference_bands[band].exact_hz, 6e-5);
        assert_near(band_graphic_nominal_hz(BANDS, band), reference_bands[band].nominal_hz, 0);
    }
    assert_near(band_graphic_octaves(BANDS), 1.0 / 3, 0);
}

static void
graphic_of_10_has_octaves(void **state)
{
    (void)state;
    assert_int_equal(COUNT(reference_octaves), 10);
    for (int band = 0; band < 10; band++) {
        assert_near(band_graphic_hz(10, band), reference_octaves[band].exact_hz, 6e-5);
        assert_near(band_graphic_nominal_hz(10, band), reference_octaves[band].nominal_hz, 0);
    }
    assert_near(band_graphic_octaves(10), 1, 0);
}

static void
other_graphics_have_no_standard_centres(void **state)
{
    static const int bands[] = {0, 1, 5, 7, 9, 11, 15, 28, 30, 32, 60};

    (void)state;
    for (size_t i = 0; i < COUNT(bands); i++) {
        assert_near(band_graphic_hz(bands[i], 0), 0, 0);
        assert_near(band_graphic_nominal_hz(bands[i], 0), 0, 0);
        assert_near(band_graphic_octaves(bands[i]), 0, 0);
    }
}

static void
pink_noise_is_equal_in_all_bands(void **state)
{
    double shares[BANDS];

    (void)state;
    band_pink_shares(shares);
    for (int band = 0; band < BANDS; band++)
        assert_near(10 * log10(shares[band]), reference_pink_share_db, 6e-5);
    assert_near(total(shares), 1, 1e-12);
}

/* 3 decimals; the shares come from the spectrum levels and the widths of the bands alone. */
static void
speech_is_the_standards(void **state)
{
    double shares[BANDS];
    size_t row = 0;

    (void)state;
    band_speech_shares(shares);
    for (int band = 0; band < BANDS; band++) {
        if (row < COUNT(reference_speech) &&
            band_graphic_nominal_hz(BANDS, band) == reference_speech[row].nominal_hz)
            assert_near(10 * log10(shares[band]), reference_speech[row++].re_total_db, 6e-4);
        else
            assert_near(shares[band], 0, 0);
    }
    assert_int_equal(row, COUNT(reference_speech));
    assert_near(total(shares), 1, 1e-12);
}

/* The reference's own columns agree with each other: a slip in copying would show here. */
static void
reference_speech_is_consistent(void **state)
{
    double sum = 0;
    int band = 9; /* 160 Hz */

    (void)state;
    for (size_t i = 0; i < COUNT(reference_speech); i++, band++) {
        double width = reference_bands[band].upper_hz - reference_bands[band].lower_hz;

        assert_near(reference_bands[band].nominal_hz, reference_speech[i].nominal_hz, 0);
        assert_near(reference_speech[i].spectrum_level_db + 10 * log10(width),
                    reference_speech[i].band_level_db, 6e-4);
        sum += pow(10, reference_speech[i].band_level_db / 10);
    }
    for (size_t i = 0; i < COUNT(reference_speech); i++)
        assert_near(reference_speech[i].band_level_db - 10 * log10(sum),
                    reference_speech[i].re_total_db, 1.1e-3);
}

/* A-weighted less unweighted level of a programme. */
static double
a_weighted_db(const double shares[BANDS])
{
    double sum = 0;

    for (int band = 0; band < BANDS; band++)
        sum += shares[band] * pow(10, reference_a_db[band] / 10);
    return 10 * log10(sum);
}

/* Each standard weighs the other's bands: shares by ANSI S3.5, weights by IEC 61672-1. */
static void
programmes_weigh_what_the_tables_say(void **state)
{
    double shares[BANDS];

    (void)state;
    band_pink_shares(shares);
    assert_near(a_weighted_db(shares), reference_pink_a_db, 1e-3);
    band_speech_shares(shares);
    assert_near(a_weighted_db(shares), reference_speech_a_db, 1e-3);
}

/* Level of speech re its A-weighted level in the octave whose middle band is `middle`. */
static double
speech_octave_db(const double shares[BANDS], int middle)
{
    double sum = shares[middle - 1] + shares[middle] + shares[middle + 1];

    return 10 * log10(sum) - a_weighted_db(shares);
}

static double
octaves_a_db(const double octaves_db[REFERENCE_OCTAVES_OF_SPEECH])
{
    double sum = 0;

    for (int i = 0; i < REFERENCE_OCTAVES_OF_SPEECH; i++)
        sum += pow(10, (octaves_db[i] + reference_a_db[8 + 3 * i]) / 10);
    return 10 * log10(sum);
}

/* A second standard's speech spectrum, of other voices: it falls more steeply, and it has more
 * below 400 Hz. In the octaves from 500 Hz to 2 kHz the two lie within 2.5 dB, close enough to show
 * a band in the wrong place. */
static void
another_speech_standard_agrees(void **state)
{
    double shares[BANDS];

    (void)state;
    assert_near(octaves_a_db(reference_male_db), reference_male_a_db, 1e-3);
    assert_near(octaves_a_db(reference_female_db), reference_female_a_db, 1e-3);
    band_speech_shares(shares);
    for (int i = 2; i < 5; i++)
        assert_near(speech_octave_db(shares, 8 + 3 * i), reference_male_db[i], 2.5);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(centres_are_the_standards),
        cmocka_unit_test(edges_are_the_standards),
        cmocka_unit_test(graphic_of_31_has_third_octaves),
        cmocka_unit_test(graphic_of_10_has_octaves),
        cmocka_unit_test(other_graphics_have_no_standard_centres),
        cmocka_unit_test(pink_noise_is_equal_in_all_bands),
        cmocka_unit_test(speech_is_the_standards),
        cmocka_unit_test(reference_speech_is_consistent),
        cmocka_unit_test(programmes_weigh_what_the_tables_say),
        cmocka_unit_test(another_speech_standard_agrees),
    };

    return cmocka_run_group_tests_name("band", tests, NULL, NULL);
}
