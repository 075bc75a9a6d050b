/* SPDX-License-Identifier: MIT */
/*
 * What reaches a socket, beside published figures: first-order patterns (DPA Microphones
 * dictionary, "1st Order Pattern"; HyperPhysics, "Directional Patterns of Microphones"), the
 * inverse square law, sensitivities, reflections; and what the desk makes of it.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "rig/bare_stage.h"
#include "unit.h"

enum { LONG = 9600 };

static const double PI = 3.14159265358979323846;

/* Air from a loudspeaker `metres` away, `degrees` off the microphone's axis, at 1 kHz. */
static double
air_db(const char *microphone, const char *loudspeaker, double metres, double degrees)
{
    static double response[LONG];
    char text[800];
    struct stage *stage;

    snprintf(
        text, sizeof text,
        "{\"stage\": 1, \"space\": {\"noise_spl\": \"-inf\"},"
        " \"microphones\": [{\"socket\": 1, \"position\": [0, 0, 0], \"faces\": [1, 0, 0]%s}],"
        " \"loudspeakers\": [{\"mix\": 1, \"position\": [%.17g, %.17g, 0], \"faces\": [0, 0, 0],"
        " \"low_hz\": 0, \"high_hz\": 0%s}]}",
        microphone, metres * cos(degrees * PI / 180), metres * sin(degrees * PI / 180),
        loudspeaker);
    stage = stage_of(text);
    assert_true(stage_acoustic(stage, 1, 1, response, LONG));
    stage_close(stage);
    return response_db(response, LONG, 1000);
}

/* dB at 90, 120 and 180 degrees. HyperPhysics rounds: -8.5 and -12 for the supercardioid. */
static const struct {
    const char *name;
    double at_90, at_120, at_180;
} patterns[] = {
    {"omnidirectional", 0, 0, 0},
    {"subcardioid", -3.098, -5.1927, -7.9588},
    {"cardioid", -6.0206, -12.0412, -HUGE_VAL},
    {"supercardioid", -8.636, -25.1927, -11.7005},
    {"hypercardioid", -12.0412, -18.0618, -6.0206},
    {"figure-of-eight", -HUGE_VAL, -6.0206, 0},
};

/* -60 dB stands for a null. */
static void
is_pattern(const char *microphone, double degrees, double expected_db, double floor_db)
{
    double on_axis = air_db(microphone, "", 1, 0);
    double off = air_db(microphone, "", 1, degrees) - on_axis;

    assert_near_in(microphone, off, fmax(expected_db, floor_db), 0.001);
}

static void
patterns_are_the_published_ones(void **state)
{
    char microphone[100];

    (void)state;
    for (size_t i = 0; i < COUNT(patterns); i++)
        for (double floor_db = -60; floor_db <= -18; floor_db += 42) {
            snprintf(microphone, sizeof microphone, ", \"pattern\": \"%s\", \"floor_db\": %g",
                     patterns[i].name, floor_db);
            is_pattern(microphone, 90, patterns[i].at_90, floor_db);
            is_pattern(microphone, 120, patterns[i].at_120, floor_db);
            is_pattern(microphone, 180, patterns[i].at_180, floor_db);
        }
}

static void
behind_a_null_polarity_turns(void **state)
{
    static double front[LONG], back[LONG];
    double most = 0, least = 0;

    (void)state;
    for (int side = 0; side < 2; side++) {
        double *response = side == 0 ? front : back;
        char text[600];
        struct stage *stage;

        snprintf(text, sizeof text,
                 "{\"stage\": 1, \"microphones\": [{\"socket\": 1, \"position\": [0, 0, 0],"
                 " \"faces\": [1, 0, 0], \"pattern\": \"hypercardioid\"}], \"loudspeakers\": [{"
                 "\"mix\": 1, \"position\": [%d, 0, 0], \"faces\": [0, 0, 0], \"beam\": \"none\","
                 " \"low_hz\": 0, \"high_hz\": 0}]}",
                 side == 0 ? 1 : -1);
        stage = stage_of(text);
        assert_true(stage_acoustic(stage, 1, 1, response, LONG));
        stage_close(stage);
    }
    for (size_t i = 0; i < LONG; i++) {
        most = fmax(most, front[i]);
        least = fmin(least, back[i]);
    }
    assert_near(least / most, -0.5, 1e-9); /* 0.25 - 0.75 over 0.25 + 0.75 */
}

/* The sum that users do: desk, amplifier, sensitivities and distance. 9.03 dB are 2.83 V; 1 Pa is
 * 94 dB SPL rounded, 93.9794 exactly. */
static void
levels_add_up(void **state)
{
    (void)state;
    for (double metres = 0.5; metres <= 16; metres *= 2) {
        double expected = 32 + 96 - 9.0357 - 20 * log10(metres) - 93.9794 + 20 * log10(0.002);

        assert_near(air_db("", "", metres, 0), expected, 0.01);
    }
    assert_near(air_db(", \"mv_per_pa\": 20", "", 1, 0) - air_db("", "", 1, 0), 20, 1e-6);
    assert_near(air_db("", ", \"sensitivity_db\": 90, \"amplifier_db\": 35", 1, 0),
                air_db("", "", 1, 0) - 3, 1e-6);
}

/* Half way to its -6 dB point a beam lost 1.5 dB, at it 6, far behind no more than back_db; below
 * its lowest bands it is wide. Far from all bands a little of the others is left (first order). */
static double
beam_db(double degrees, double hz)
{
    static double on_axis[LONG], off_axis[LONG];
    char text[700];
    struct stage *stage;

    for (int off = 0; off < 2; off++) {
        snprintf(text, sizeof text,
                 "{\"stage\": 1, \"microphones\": [{\"socket\": 1, \"position\": [0, 0, 0],"
                 " \"faces\": [1, 0, 0], \"pattern\": 1}], \"loudspeakers\": [{\"mix\": 1,"
                 " \"position\": [1, 0, 0], \"faces\": [%.17g, %.17g, 0], \"low_hz\": 0,"
                 " \"high_hz\": 0, \"beam\": [[50, 360], [100, 360], [200, 80], [400, 80]]}]}",
                 1 - cos(off * degrees * PI / 180), sin(off * degrees * PI / 180));
        stage = stage_of(text);
        assert_true(stage_acoustic(stage, 1, 1, off ? off_axis : on_axis, LONG));
        stage_close(stage);
    }
    assert_near(response_db(on_axis, LONG, hz), response_db(on_axis, LONG, 1000), 1e-6);
    return response_db(off_axis, LONG, hz) - response_db(on_axis, LONG, hz);
}

static void
beams_narrow(void **state)
{
    (void)state;
    assert_near(beam_db(20, 12000), -1.5, 0.05);
    assert_near(beam_db(40, 12000), -6, 0.2);
    assert_near(beam_db(180, 12000), -20, 0.5);
    assert_near(beam_db(180, 20), -6, 0.5);
}

/* In the open, a floor of known absorption: two taps at the lengths of both paths. */
static void
a_floor_gives_back(void **state)
{
    static double response[LONG];
    size_t direct = (size_t)lround(2 / 343.0 * 48000);
    size_t reflected = (size_t)lround(sqrt(2 * 2 + 3 * 3) / 343.0 * 48000);
    struct stage *stage = stage_of(
        "{\"stage\": 1, \"space\": {\"floor\": 0.19}, \"microphones\": [{\"socket\": 1,"
        " \"position\": [0, 0, 1.5], \"faces\": [1, 0, 1.5], \"pattern\": 1}],"
        " \"loudspeakers\": [{\"mix\": 1, \"position\": [2, 0, 1.5], \"faces\": [0, 0, 1.5],"
        " \"low_hz\": 0, \"high_hz\": 0, \"beam\": \"none\"}]}");

    (void)state;
    assert_true(stage_acoustic(stage, 1, 1, response, LONG));
    assert_near(response[reflected] / response[direct], 0.9 * 2 / sqrt(13), 1e-9);
    for (size_t i = 0; i < LONG; i++)
        if (i != direct && i != reflected)
            assert_true(response[i] == 0);
    stage_close(stage);
}

/* First-order images of a box, counted out by hand: six walls, six lengths. */
static void
a_box_gives_back_from_six_walls(void **state)
{
    static double response[LONG];
    double direct = 0;
    struct stage *stage = stage_of(
        "{\"stage\": 1, \"space\": {\"box\": {\"from\": [-4, -3, 0], \"to\": [6, 8, 4]},"
        " \"absorption\": [0.75, 0.51, 0.36, 0.19, 0.91, 0.64], \"order\": 1, \"paths\": 7},"
        " \"microphones\": [{\"socket\": 1, \"position\": [0, 0, 2], \"faces\": [1, 0, 2],"
        " \"pattern\": 1}], \"loudspeakers\": [{\"mix\": 1, \"position\": [0, 0, 2],"
        " \"faces\": [0, 1, 2], \"low_hz\": 0, \"high_hz\": 0, \"beam\": \"none\"}]}");
    /* absorption of x from, x to, y from, y to, floor, ceiling, and both ways to the wall */
    static const struct {
        double factor, metres;
    } walls[] = {{0.5, 8}, {0.7, 12}, {0.8, 6}, {0.9, 16}};

    (void)state;
    assert_true(stage_acoustic(stage, 1, 1, response, LONG));
    direct = response[lround(0.05 / 343 * 48000)] * 0.05; /* no source is nearer than 5 cm */
    for (size_t i = 0; i < COUNT(walls); i++)
        assert_near(response[lround(walls[i].metres / 343 * 48000)],
                    direct * walls[i].factor / walls[i].metres, fabs(direct) * 1e-9);
    /* floor and ceiling are both 2 m away: their paths are equally long */
    assert_near(response[lround(4 / 343.0 * 48000)], direct * (0.3 + 0.6) / 4, fabs(direct) * 1e-9);
    stage_close(stage);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(patterns_are_the_published_ones),
        cmocka_unit_test(behind_a_null_polarity_turns),
        cmocka_unit_test(levels_add_up),
        cmocka_unit_test(beams_narrow),
        cmocka_unit_test(a_floor_gives_back),
        cmocka_unit_test(a_box_gives_back_from_six_walls),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
