/* SPDX-License-Identifier: MIT */
/*
 * What the desk behind a stage makes of an input on its way into a mix, beside formulas published
 * elsewhere: Butterworth's loss 10 log10(1 + (corner / f)^2n), the cookbook's definitions of gain,
 * corner and bandwidth (R. Bristow-Johnson, Audio EQ Cookbook); and which settings a send's tap
 * lets in.
 */
#include <math.h>
#include <stdlib.h>

#include "rig/bare_stage.h"
#include "unit.h"

enum { LONG = 48000, PRE_EQ = 0, PRE_FADER, POST_FADER };

static const char DESK[] = "{\"desk_state\": 1, \"counts\": {\"inputs\": 2, \"mixes\": 2, "
                           "\"input_eq_bands\": 4, \"graphic_bands\": 31,"
                           " \"mix_eq_bands\": 4, \"groups\": 2}, \"groups\": [{}, {}],"
                           " \"inputs\": [{\"send_levels\": [0, \"-inf\"], \"groups\": [1, 2]}, "
                           "{\"send_levels\": [-10, 0]}],"
                           " \"mixes\": [{}, {}]}";

static const char STAGE[] =
    "{\"stage\": 1, \"desk\": {\"latency_ms\": 2}, \"space\": {\"noise_spl\": \"-inf\"}, "
    "\"microphones\": ["
    "{\"socket\": 1, \"position\": [0, 0, 1], \"faces\": [0, 1, 1]},"
    "{\"socket\": 2, \"position\": [1, 0, 1], \"faces\": [1, 1, 1]}],"
    " \"loudspeakers\": [{\"mix\": 1, \"position\": [0, 1, 1], \"faces\": [0, 0, 1]},"
    "{\"mix\": 2, \"position\": [1, 1, 1], \"faces\": [1, 0, 1]}]}";

static struct stage *stage;

static int
begin(void **state)
{
    (void)state;
    stage = stage_before(DESK, STAGE);
    return 0;
}

static int
end(void **state)
{
    (void)state;
    stage_close(stage);
    return 0;
}

static void
set(const char *scope, const char *key, int first, int second, double value)
{
    assert_true(stage_set(stage, scope, key, first, second, value));
}

static double
path_db(int input, int mix, double hz)
{
    static double response[LONG];

    assert_true(stage_electric(stage, input, mix, response, LONG));
    return response_db(response, LONG, hz);
}

/* Input 1 into mix 1 at 1 kHz, where nothing but gains is in the way. */
static double
gain_db(void)
{
    return path_db(1, 1, 1000);
}

static void
a_flat_path_is_a_delay(void **state)
{
    double response[480];

    (void)state;
    assert_true(stage_electric(stage, 1, 1, response, 480));
    for (int i = 0; i < 480; i++)
        assert_true(response[i] == (i == 96 ? 1 : 0)); /* 2 ms */
    assert_true(stage_electric(stage, 1, 2, response, 480));
    for (int i = 0; i < 480; i++)
        assert_true(response[i] == 0);
    assert_near(path_db(2, 1, 1000), -10, 1e-9);
    assert_false(stage_electric(stage, 3, 1, response, 480));
    assert_false(stage_electric(stage, 1, 3, response, 480));
}

static void
gains_add_up(void **state)
{
    (void)state;
    set("input", "gain", 1, 0, 20);
    set("input", "pad", 1, 0, 1);
    set("input", "trim", 1, 0, 3);
    set("send", "level", 1, 1, -4);
    set("mix", "fader", 1, 0, 2);
    set("mix", "trim", 1, 0, -1.5);
    assert_near(gain_db(), 20 - 20 + 3 - 4 + 2 - 1.5, 1e-9);
    set("input", "comp.makeup", 1, 0, 5);
    assert_near(gain_db(), -0.5, 1e-9);
    set("input", "comp.on", 1, 0, 1);
    assert_near(gain_db(), 4.5, 1e-9);
}

static void
polarity_is_a_sign(void **state)
{
    double response[480];

    (void)state;
    set("input", "inverted", 1, 0, 1);
    assert_true(stage_electric(stage, 1, 1, response, 480));
    assert_true(response[96] == -1);
}

static void
taps_let_in_what_lies_before_them(void **state)
{
    static const struct {
        int tap;
        double eq, makeup, fader; /* share of each */
    } rows[] = {{PRE_EQ, 0, 0, 0}, {PRE_FADER, 1, 1, 0}, {POST_FADER, 1, 1, 1}};

    (void)state;
    set("input-band", "freq", 1, 1, 1000);
    set("input-band", "gain", 1, 1, -6);
    set("input", "comp.on", 1, 0, 1);
    set("input", "comp.makeup", 1, 0, 3);
    set("input", "fader", 1, 0, -5);
    set("group", "fader", 1, 0, -2);
    set("group", "fader", 2, 0, 1);
    for (size_t i = 0; i < COUNT(rows); i++) {
        set("send", "tap", 1, 1, rows[i].tap);
        assert_near(gain_db(), -6 * rows[i].eq + 3 * rows[i].makeup - 6 * rows[i].fader, 1e-6);
        set("input", "high_pass.on", 1, 0, 1);
        set("input", "high_pass.freq", 1, 0, 100);
        assert_near(path_db(1, 1, 50) < -15, rows[i].eq, 0);
        set("input", "high_pass.on", 1, 0, 0);
    }
}

static void
is_silent(const char *scope, const char *key, int first, int second, double off, double on)
{
    set(scope, key, first, second, off);
    assert_true(gain_db() == -INFINITY);
    set(scope, key, first, second, on);
    assert_near(gain_db(), 0, 1e-9);
}

static void
mutes_and_offs_are_silent(void **state)
{
    (void)state;
    is_silent("input", "open", 1, 0, 0, 1);
    is_silent("mix", "open", 1, 0, 0, 1);
    is_silent("send", "on", 1, 1, 0, 1);
    is_silent("send", "level", 1, 1, -INFINITY, 0);
    is_silent("mix", "fader", 1, 0, -INFINITY, 0);
    set("input", "fader", 1, 0, -INFINITY); /* not before it */
    set("group", "open", 1, 0, 0);
    assert_near(gain_db(), 0, 1e-9);
    set("input", "fader", 1, 0, 0);
    set("send", "tap", 1, 1, POST_FADER);
    assert_true(gain_db() == -INFINITY);
    is_silent("group", "open", 1, 0, 0, 1);
    is_silent("group", "fader", 2, 0, -INFINITY, 0);
}

static void
high_passes_are_butterworth(void **state)
{
    (void)state;
    for (int slope = 6; slope <= 48; slope += 6)
        for (double hz = 50; hz <= 400; hz *= 2) {
            double loss = 10 * log10(1 + pow(100 / hz, 2 * (slope / 6)));

            set("input", "high_pass.on", 1, 0, 1);
            set("input", "high_pass.freq", 1, 0, 100);
            set("input", "high_pass.slope", 1, 0, slope);
            assert_near(path_db(1, 1, hz), -loss, 0.01);
            set("input", "high_pass.on", 1, 0, 0);
            set("mix", "high_pass.on", 1, 0, 1);
            set("mix", "high_pass.freq", 1, 0, 100);
            set("mix", "high_pass.slope", 1, 0, slope);
            assert_near(path_db(1, 1, hz), -loss, 0.01);
            set("mix", "high_pass.on", 1, 0, 0);
        }
}

/* What each shape passes at its frequency, far below and far above. */
static void
shapes_do_what_they_say(void **state)
{
    static const struct {
        int shape;
        double at, below, above;
    } rows[] = {
        {0, 9, 0, 0}, {1, 4.5, 9, 0}, {2, 4.5, 0, 9}, {3, -3.0103, 0, -60}, {4, -3.0103, -60, 0}};

    (void)state;
    for (int mix = 0; mix < 2; mix++) {
        const char *scope = mix ? "mix-band" : "input-band";

        set(scope, "freq", 1, 2, 1000);
        set(scope, "gain", 1, 2, 9);
        set(scope, "q", 1, 2, sqrt(0.5));
        for (size_t i = 0; i < COUNT(rows); i++) {
            set(scope, "shape", 1, 2, rows[i].shape);
            assert_near(path_db(1, 1, 1000), rows[i].at, 0.001);
            assert_near(fmax(-60, path_db(1, 1, 20)), rows[i].below, 0.02);
            assert_near(fmax(-60, path_db(1, 1, 23500)), rows[i].above, 0.02);
        }
        set(scope, "shape", 1, 2, 5);
        assert_true(path_db(1, 1, 1000) < -100);
        set(scope, "on", 1, 2, 0);
        assert_near(path_db(1, 1, 1000), 0, 1e-9);
    }
}

/*
 * A third octave wide between the points of half the cut, in dB, at the exact centres of IEC
 * 61260-1.
 */
static void
graphics_cut_thirds(void **state)
{
    (void)state;
    for (int band = 3; band <= 30; band += 9) {
        double centre = 1000 * pow(10, (band - 18) / 10.0);

        set("graphic", "gain", 1, band, -6);
        assert_near(path_db(1, 1, centre), -6, 0.001);
        /* the width is kept by the bilinear transform, the two sides of it less so at the top */
        if (centre < 2000) {
            assert_near(path_db(1, 1, centre * pow(2, 1.0 / 6)), -3, 0.03);
            assert_near(path_db(1, 1, centre / pow(2, 1.0 / 6)), -3, 0.03);
        }
        set("mix", "graphic.on", 1, 0, 0);
        assert_near(path_db(1, 1, centre), 0, 1e-9);
        set("mix", "graphic.on", 1, 0, 1);
        set("graphic", "gain", 1, band, 0);
    }
}

static void
what_cannot_be_is_turned_down(void **state)
{
    (void)state;
    assert_false(stage_set(stage, "input", "gain", 3, 0, 0));
    assert_false(stage_set(stage, "input", "gain", 1, 1, 0));
    assert_false(stage_set(stage, "input", "gain", 1, 0, 57));
    assert_false(stage_set(stage, "input", "gain", 1, 0, NAN));
    assert_false(stage_set(stage, "input", "gain", 1, 0, -INFINITY));
    assert_false(stage_set(stage, "input", "open", 1, 0, 0.5));
    assert_false(stage_set(stage, "input", "name", 1, 0, 0));
    assert_false(stage_set(stage, "oven", "gain", 1, 0, 0));
    assert_true(isnan(stage_get(stage, "send", "level", 1, 3)));
    assert_near(stage_get(stage, "send", "level", 2, 1), -10, 0);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_flat_path_is_a_delay),
        TEST(gains_add_up),
        TEST(polarity_is_a_sign),
        TEST(taps_let_in_what_lies_before_them),
        TEST(mutes_and_offs_are_silent),
        TEST(high_passes_are_butterworth),
        TEST(shapes_do_what_they_say),
        TEST(graphics_cut_thirds),
        TEST(what_cannot_be_is_turned_down),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
