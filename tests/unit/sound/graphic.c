/* SPDX-License-Identifier: MIT */
/* Where graphic bands stand and how wide they are taken: as the profile says, else as they stand
 * apart. Centres: ISO 266:1997 preferred frequencies, every second third-octave for 15 bands.
 */
#include "unit.h"

#include <math.h>

#include "rig.h"
#include "sound/graphic.h"
#include "sound/path.h"

static const enum param_id reads[] = {PATH_MIX_EQUALISER_READS, PARAMS};

static const double fifteen_hz[] = {25,   40,   63,   100,  160,  250,   400,  630,
                                    1000, 1600, 2500, 4000, 6300, 10000, 16000};

static void
start(struct rig *rig, int bands)
{
    const struct desk_counts counts = {
        .of = {[INDEX_INPUT] = 1, [INDEX_MIX] = 1, [INDEX_MIX_GRAPHIC_BAND] = bands}};

    rig_start_counts(rig, &counts);
}

static void
publish(struct rig *rig, const double *hz, int bands)
{
    start(rig, bands);
    rig_forget(rig, PARAM_MIX_GRAPHIC_BAND_FREQ, SUPPLY_HEARD);
    for (int band = 0; band < bands; band++)
        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_FREQ, 0, band, hz[band]);
}

static bool
read_band(struct rig *rig, int band, struct graphic_band *at)
{
    struct look look = look_reader(rig->desk, rig->show, reads, &rig->verdict);
    bool known = graphic_band(&look, 0, band, at);

    rig_take_why(rig, &look.misses);
    return known;
}

static double
octaves_of(struct rig *rig, int band)
{
    struct graphic_band at;

    assert_true(read_band(rig, band, &at));
    return at.octaves;
}

static double
response_db(struct rig *rig, double hz)
{
    struct look look = look_reader(rig->desk, rig->show, reads, &rig->verdict);
    struct filters filters;

    assert_true(path_mix_equalisers(&look, 0, &filters));
    return filters_db(&filters, hz);
}

static void
standard_bands_are_as_wide_as_their_name(void **state)
{
    struct rig *rig = *state;

    start(rig, 31);
    assert_near(octaves_of(rig, 0), 1.0 / 3, 0);
    assert_near(octaves_of(rig, 30), 1.0 / 3, 0);
    start(rig, 10);
    assert_near(octaves_of(rig, 4), 1, 0);
}

/* Two thirds of an octave, by the rounded frequencies to within 4 %. */
static void
published_bands_are_as_wide_as_they_stand_apart(void **state)
{
    static const double uneven_hz[] = {100, 200, 800, 1600};
    struct rig *rig = *state;

    publish(rig, fifteen_hz, 15);
    for (int band = 0; band < 15; band++)
        assert_near(octaves_of(rig, band), 2.0 / 3, 0.04 * 2 / 3);
    publish(rig, uneven_hz, 4);
    assert_near(octaves_of(rig, 0), 1, 1e-12);
    assert_near(octaves_of(rig, 1), 1.5, 1e-12);
    assert_near(octaves_of(rig, 2), 1.5, 1e-12);
    assert_near(octaves_of(rig, 3), 1, 1e-12);
}

/* Cookbook, BW: half the gain in dB at the edges, which are where the bands meet. */
static void
half_the_gain_where_bands_meet(void **state)
{
    struct rig *rig = *state;

    publish(rig, fifteen_hz, 15);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 8, -12);
    assert_near(response_db(rig, 1000), -12, 1e-9);
    assert_near(response_db(rig, sqrt(630 * 1000.0)), -6, 0.2);
    assert_near(response_db(rig, sqrt(1600 * 1000.0)), -6, 0.2);
}

static void
profile_tells_the_width(void **state)
{
    struct rig *rig = *state;

    start(rig, 31);
    desk_set_filters(rig->desk, (struct desk_filters){.rate_hz = 48000, .graphic_octaves = 1});
    assert_near(octaves_of(rig, 17), 1, 0);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 17, -12);
    assert_near(response_db(rig, 1000 * sqrt(2)), -6, 1e-2);
    publish(rig, fifteen_hz, 15);
    desk_set_filters(rig->desk, (struct desk_filters){.rate_hz = 48000, .graphic_octaves = 0.5});
    rig_stale(rig, PARAM_MIX_GRAPHIC_BAND_FREQ, 0, 6); /* a neighbour is not asked then */
    assert_near(octaves_of(rig, 7), 0.5, 0);
}

static void
what_is_not_known_is_said(void **state)
{
    static const double same_hz[] = {1000, 1000, 1000};
    struct rig *rig = *state;
    struct graphic_band at;

    publish(rig, fifteen_hz, 15);
    rig_stale(rig, PARAM_MIX_GRAPHIC_BAND_FREQ, 0, 6);
    assert_false(read_band(rig, 7, &at));
    assert_contains(rig->why, "mix.graphic.band.freq of mix 1, band 7 is stale");
    assert_true(read_band(rig, 8, &at));
    publish(rig, same_hz, 3);
    assert_false(read_band(rig, 1, &at));
    assert_string_equal(rig->why,
                        "mix 1: its graphic bands do not tell how wide one is; the profile can "
                        "(filters.graphic_octaves)");
    publish(rig, same_hz, 1);
    assert_false(read_band(rig, 0, &at));
    start(rig, 15);
    assert_false(read_band(rig, 0, &at));
    assert_contains(rig->why, "the profile does not name mix.graphic.band.freq");
}

static void
widths_are_written(void **state)
{
    static const struct {
        double least, most;
        const char *words;
    } rows[] = {
        {1.0 / 3, 1.0 / 3, "1/3 octave"},        {0.322, 0.345, "1/3 octave"},
        {2.0 / 3, 2.0 / 3, "2/3 octave"},        {0.997, 0.997, "1 octave"},
        {0.5, 1.5, "1/2 to 1.5 octaves"},        {0.4, 0.4, "0.4 octave"},
        {1.0 / 6, 1.0 / 3, "1/6 to 1/3 octave"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char buffer[60];
        struct text text;

        text_init(&text, buffer, sizeof buffer);
        graphic_add_octaves(&text, rows[i].least, rows[i].most);
        assert_string_equal(buffer, rows[i].words);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(standard_bands_are_as_wide_as_their_name),
        RIG_TEST(published_bands_are_as_wide_as_they_stand_apart),
        RIG_TEST(half_the_gain_where_bands_meet),
        RIG_TEST(profile_tells_the_width),
        RIG_TEST(what_is_not_known_is_said),
        cmocka_unit_test(widths_are_written),
    };

    return cmocka_run_group_tests_name("graphic", tests, NULL, NULL);
}
