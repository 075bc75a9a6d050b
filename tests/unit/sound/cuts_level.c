/* SPDX-License-Identifier: MIT */
/* The level that cuts take from programme, against a second computation that shares nothing with
 * the first: filters as complex responses on the unit circle instead of sin^2, the speech spectrum
 * from the reference table, and hundreds of even places in each third-octave band.
 */
#include "unit.h"

#include <complex.h>
#include <math.h>

#include "bands.h"
#include "rig.h"

enum { BAND_COUNT = 31, DENSE = 400, DENSEST = 20000 };

static const char check[] = "too-many-cuts";
static const double pi = 3.14159265358979323846;
static const double rate_hz = 48000;

/* The cookbook's Q for a band a third of an octave wide between its half-gain points: the width
 * stays what it is up to the highest band. */
static double
third_octave_q(double hz)
{
    double w0 = 2 * pi * hz / rate_hz;

    return 1 / (2 * sinh(log(2) / 2 / 3 * w0 / sin(w0)));
}

struct cut_band {
    double hz, gain_db, q;
};

/* Gain of a cut_band that is a notch. */
static const double notch = -HUGE_VAL;

/* The cookbook's peaking filter or notch, from its digital coefficients, as a complex number. */
static double
cut_db(const struct cut_band *cut, double hz)
{
    double w0 = 2 * pi * cut->hz / rate_hz;
    double alpha = sin(w0) / 2 / cut->q;
    double a = cut->gain_db == notch ? 1 : sqrt(pow(10, cut->gain_db / 20));
    double complex z1 = cexp(-I * (2 * pi * hz / rate_hz));

    if (cut->gain_db == notch)
        return 20 * log10(cabs((1 - 2 * cos(w0) * z1 + z1 * z1) /
                               ((1 + alpha) - 2 * cos(w0) * z1 + (1 - alpha) * z1 * z1)));
    double complex top = (1 + alpha * a) - 2 * cos(w0) * z1 + (1 - alpha * a) * z1 * z1;
    double complex bottom = (1 + alpha / a) - 2 * cos(w0) * z1 + (1 - alpha / a) * z1 * z1;

    return 20 * log10(cabs(top / bottom));
}

struct programme {
    double share[BAND_COUNT]; /* of its power */
};

static struct programme
pink(void)
{
    struct programme programme;

    for (int band = 0; band < BAND_COUNT; band++)
        programme.share[band] = 1.0 / BAND_COUNT;
    return programme;
}

static struct programme
speech(void)
{
    struct programme programme = {{0}};
    double sum = 0;

    for (size_t i = 0; i < COUNT(reference_speech); i++)
        sum += pow(10, reference_speech[i].band_level_db / 10);
    for (int band = 0; band < BAND_COUNT; band++)
        for (size_t i = 0; i < COUNT(reference_speech); i++)
            if (reference_speech[i].nominal_hz == reference_bands[band].nominal_hz)
                programme.share[band] = pow(10, reference_speech[i].band_level_db / 10) / sum;
    return programme;
}

struct level {
    double loss_db, spread_db;
};

/* Every band's power spread evenly over so many places. */
static struct level
dense_level(const struct programme *programme, const struct cut_band *cuts, int count, int places)
{
    double power = 0, deviation = 0;
    struct level level;

    for (int pass = 0; pass < 2; pass++) {
        for (int i = 0; i < BAND_COUNT * places; i++) {
            double hz = 1000 * pow(10, (i + 0.5) / places / 10 - 1.75);
            double weight = programme->share[i / places] / places, db = 0;

            for (int c = 0; weight > 0 && c < count; c++)
                db += cut_db(&cuts[c], hz);
            if (pass == 0)
                power += weight * pow(10, db / 10);
            else
                deviation += weight * (db + level.loss_db) * (db + level.loss_db);
        }
        level.loss_db = -10 * log10(power);
    }
    level.spread_db = sqrt(deviation);
    return level;
}

/* A wedge on which one cut is enough for a finding, so that its figures can be seen. */
static struct rig *
start(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 1, 1);
    rig->show->mixes[0].feeds = FEEDS_WEDGE;
    rig->show->checks[check_find(check)].settings[0] = 1;
    return rig;
}

/* Nothing is printed finer than 0.1 dB. */
static const double tolerance_db = 0.01;

static void
agrees_with(struct rig *rig, const struct cut_band *cuts, int count, int places)
{
    const struct verdict *verdict = rig_judge_mix(rig, check, 0);
    struct programme programme = speech();
    struct level level = dense_level(&programme, cuts, count, places);

    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_near(rig_figure(verdict, "speech_level_loss_db"), level.loss_db, tolerance_db);
    assert_near(rig_figure(verdict, "spread_db"), level.spread_db, tolerance_db);
    programme = pink();
    level = dense_level(&programme, cuts, count, places);
    assert_near(rig_figure(verdict, "pink_level_loss_db"), level.loss_db, tolerance_db);
}

static void
agrees(struct rig *rig, const struct cut_band *cuts, int count)
{
    agrees_with(rig, cuts, count, DENSE);
}

static double
centre_hz(int band)
{
    return 1000 * pow(10, (band - 17) / 10.0);
}

static void
one_band_of_twelve_decibels(void **state)
{
    struct rig *rig = start(state);

    for (int band = 0; band < BAND_COUNT; band++) {
        const struct cut_band cut = {centre_hz(band), -12, third_octave_q(centre_hz(band))};

        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, -12);
        agrees(rig, &cut, 1);
        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, 0);
    }
}

static void
ring_out_of_seven(void **state)
{
    static const struct {
        int band;
        double gain_db;
    } rung[] = {{11, -6}, {14, -6}, {17, -6}, {20, -6}, {22, -6}, {24, -3}, {27, -3}};
    struct rig *rig = start(state);
    struct cut_band cuts[COUNT(rung)];

    for (size_t i = 0; i < COUNT(rung); i++) {
        cuts[i] = (struct cut_band){centre_hz(rung[i].band), rung[i].gain_db,
                                    third_octave_q(centre_hz(rung[i].band))};
        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, rung[i].band, rung[i].gain_db);
    }
    agrees(rig, cuts, (int)COUNT(rung));
}

static void
parametric_bands_count_like_graphic_ones(void **state)
{
    static const struct cut_band cuts[] = {{315, -9, 3}, {1250, -6, 1.2}, {3000, 4, 2}};
    struct rig *rig = start(state);

    for (int i = 0; i < (int)COUNT(cuts); i++) {
        rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, i, cuts[i].hz);
        rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, i, cuts[i].gain_db);
        rig_set(rig, PARAM_MIX_EQ_BAND_Q, 0, i, cuts[i].q);
    }
    agrees(rig, cuts, (int)COUNT(cuts));
}

static void
set_band(struct rig *rig, int band, const struct cut_band *cut)
{
    rig_set(rig, PARAM_MIX_EQ_BAND_SHAPE, 0, band,
            cut->gain_db == notch ? SHAPE_NOTCH : SHAPE_PEAK);
    rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, band, cut->hz);
    rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, band, cut->gain_db == notch ? 0 : cut->gain_db);
    rig_set(rig, PARAM_MIX_EQ_BAND_Q, 0, band, cut->q);
}

/* However narrow, and wherever between the places that are looked at: a notch's spread is what its
 * skirts make of it, not what its bottom does to one place. */
static void
narrow_filters_are_seen(void **state)
{
    static const struct cut_band rows[] = {{1000, notch, 30}, {500, notch, 4},  {1013.7, notch, 12},
                                           {631, notch, 100}, {800, -18, 40},   {2000, -24, 10},
                                           {315, 9, 50},      {412.3, notch, 1}};
    struct rig *rig = start(state);
    const struct cut_band beside = {250, -6, 3};

    set_band(rig, 1, &beside); /* so that a boost, too, stands in a finding */
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct cut_band both[] = {rows[i], beside};

        set_band(rig, 0, &rows[i]);
        agrees_with(rig, both, 2, DENSEST);
    }
}

/* The same sliders, each band an octave wide as the profile may tell: more is lost, and the figure
 * is that of filters an octave wide. */
static void
width_that_the_profile_tells(void **state)
{
    static const struct {
        int band;
        double gain_db;
    } rung[] = {{9, -3}, {11, -6}, {13, -6}, {15, -12}, {18, -6}, {20, -4}, {22, -6}, {24, -3}};
    struct rig *rig = start(state);
    struct cut_band cuts[COUNT(rung)];
    double third_db;

    for (size_t i = 0; i < COUNT(rung); i++) {
        double hz = centre_hz(rung[i].band), w0 = 2 * pi * hz / rate_hz;

        cuts[i] = (struct cut_band){hz, rung[i].gain_db, 1 / (2 * sinh(log(2) / 2 * w0 / sin(w0)))};
        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, rung[i].band, rung[i].gain_db);
    }
    third_db = rig_figure(rig_judge_mix(rig, check, 0), "speech_level_loss_db");
    assert_near(rig_figure(&rig->verdict, "graphic_octaves"), 1.0 / 3, 1e-12);
    assert_contains(rig->words.says, "(graphic bands taken as 1/3 octave wide)");
    desk_set_filters(rig->desk, (struct desk_filters){.rate_hz = rate_hz, .graphic_octaves = 1});
    rig_remark(rig);
    agrees(rig, cuts, (int)COUNT(rung));
    assert_true(rig_figure(&rig->verdict, "speech_level_loss_db") > 2 * third_db);
    assert_contains(rig->words.says, "(graphic bands taken as 1 octave wide)");
}

/* One cut so wide that it is a fader by another name, in a mix that has few cuts. */
static struct rig *
start_mere_level(void **state)
{
    struct rig *rig = start(state);

    rig->show->checks[check_find(check)].settings[0] = 7;
    rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, 0, 500);
    rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, 0, -6);
    rig_set(rig, PARAM_MIX_EQ_BAND_Q, 0, 0, 0.2);
    return rig;
}

static void
mere_level_is_a_note(void **state)
{
    struct rig *rig = start_mere_level(state);
    const struct verdict *verdict = rig_judge_mix(rig, check, 0);

    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_NOTE);
    assert_true(rig_figure(verdict, "speech_level_loss_db") > rig_figure(verdict, "spread_db"));
    assert_true(rig_figure(verdict, "speech_level_loss_db") >= 3);
}

/* The limit itself is a finding, the next number above the loss is not. */
static void
level_limit_is_exact(void **state)
{
    struct rig *rig = start_mere_level(state);
    double loss = rig_figure(rig_judge_mix(rig, check, 0), "speech_level_loss_db");
    double *limit = &rig->show->checks[check_find(check)].settings[3];

    *limit = loss;
    rig_remark(rig);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
    *limit = nextafter(loss, 100);
    rig_remark(rig);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
}

/* As much loss, but more spread than loss: that is equalisation, and no finding. */
static void
equalisation_is_not_mere_level(void **state)
{
    struct rig *rig = start(state);

    rig->show->checks[check_find(check)].settings[0] = 7;
    rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, 0, 400);
    rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, 0, -24);
    rig_set(rig, PARAM_MIX_EQ_BAND_Q, 0, 0, 2.5);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    rig->show->checks[check_find(check)].settings[0] = 1;
    rig_remark(rig);
    assert_true(rig_figure(rig_judge_mix(rig, check, 0), "speech_level_loss_db") > 3);
    assert_true(rig_figure(&rig->verdict, "spread_db") >
                rig_figure(&rig->verdict, "speech_level_loss_db"));
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(one_band_of_twelve_decibels),
        RIG_TEST(ring_out_of_seven),
        RIG_TEST(parametric_bands_count_like_graphic_ones),
        RIG_TEST(narrow_filters_are_seen),
        RIG_TEST(width_that_the_profile_tells),
        RIG_TEST(mere_level_is_a_note),
        RIG_TEST(level_limit_is_exact),
        RIG_TEST(equalisation_is_not_mere_level),
    };

    return cmocka_run_group_tests_name("cuts_level", tests, NULL, NULL);
}
