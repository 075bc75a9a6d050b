/* SPDX-License-Identifier: MIT */
/* What rises like a ring, against the ramps and recordings of tests/reference/ringing, which were worked
 * out by another program, and against sums known by themselves.
 */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "spectrum/rise.h"

enum { KHZ = 17, NEVER = -1, RECORDED = 29, LINE_SIZE = 4096 };

static double
half_steps(double db)
{
    return rint(db * 2) / 2;
}

/* ---- ramps ---- */

struct ramp {
    double rate, db_s;
    double first_s; /* NEVER */
    double ripple_db;
    double step_db; /* it leaps there at once and stays */
};

static const struct ramp ramps[] = {
    {20, 2, NEVER, 0, 0}, {20, 3, 8.25, 0, 0},  {20, 5, 6.95, 0, 0},   {20, 10, 6.00, 0, 0},
    {20, 20, 5.50, 0, 0}, {20, 40, 5.25, 0, 0}, {20, 80, 5.25, 0, 0},  {10, 2, NEVER, 0, 0},
    {10, 3, 8.30, 0, 0},  {10, 5, 7.00, 0, 0},  {10, 10, 6.00, 0, 0},  {10, 20, 5.50, 0, 0},
    {10, 40, 5.50, 0, 0}, {10, 80, 5.50, 0, 0}, {20, 0, NEVER, 0, 57}, {20, 10, NEVER, 1, 0},
};

static double
ramp_db(const struct ramp *ramp, double s)
{
    double since = fmax(0, s - 5);
    double ripple = ramp->ripple_db * sin(2 * M_PI * 4 * s);
    double db = -60 + since * ramp->db_s + (since > 0 ? ramp->step_db : 0);

    return half_steps(fmin(db, -3) + ripple);
}

static double
first_alarm_s(const struct ramp *ramp)
{
    struct spectrum_bands bands;
    struct rise *rise;
    struct risen risen;
    double levels[SPECTRUM_THIRDS], first = NEVER;

    assert_true(spectrum_bands_of_thirds(SPECTRUM_THIRDS, &bands));
    rise = rise_new(&bands, ramp->rate);
    for (int frame = 0; frame < 30 * ramp->rate && first < 0; frame++) {
        double s = frame / ramp->rate;

        for (int i = 0; i < SPECTRUM_THIRDS; i++)
            levels[i] = -70;
        levels[KHZ] = ramp_db(ramp, s);
        levels[KHZ - 1] = levels[KHZ + 1] = levels[KHZ] - 18;
        if (rise_take(rise, levels, lround(s * 1000), &risen)) {
            assert_int_equal(risen.third, KHZ);
            assert_near(risen.hz, 1000, 0.01);
            first = s;
        }
    }
    rise_free(rise);
    return first;
}

static void
ramps_are_told_where_they_were(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(ramps); i++) {
        char name[96];

        snprintf(name, sizeof name, "%g dB/s, %g/s, +-%g dB, step %g", ramps[i].db_s, ramps[i].rate,
                 ramps[i].ripple_db, ramps[i].step_db);
        assert_near_in(name, first_alarm_s(&ramps[i]), ramps[i].first_s, 0.001);
    }
}

/* ---- recordings ---- */

struct recording {
    const char *name;
    long first; /* frame of the first alarm, or NEVER */
    double hz;  /* of the loop, 0: none */
};

static const struct recording recordings[] = {
    {"ring_slow", 278, 300.6},
    {"ring_mid", 197, 1450.3},
    {"ring_fast", 185, 396},
    {"bagpipe", NEVER, 0},
    {"sung_vowels_vibrato", NEVER, 0},
    {"test_tones", NEVER, 0},
    {"ebow_harmonic_takeover", 184, 0}, /* a known false alarm */
};

static FILE *
unpack(const char *name)
{
    char command[512];

    snprintf(command, sizeof command, "gzip -dc '%s/%s.csv.gz'", RINGING, name);
    return popen(command, "r");
}

static void
read_levels(char *line, double levels[RECORDED])
{
    char *at = line;

    for (int i = 0; i < RECORDED; i++) {
        char *end;

        levels[i] = strtod(at, &end);
        assert_true(end != at && (*end == ',' || *end == '\n'));
        at = end + 1;
    }
}

/* The frame, with `risen` of it; NEVER. */
static long
first_alarm(const char *name, struct risen *risen)
{
    struct spectrum_bands bands;
    struct rise *rise;
    FILE *file = unpack(name);
    char line[LINE_SIZE];
    double levels[RECORDED];
    long first = NEVER, frame = 0;

    assert_true(spectrum_bands_of_thirds(RECORDED, &bands));
    rise = rise_new(&bands, 20);
    assert_non_null(file);
    assert_non_null(fgets(line, sizeof line, file));
    for (; fgets(line, sizeof line, file); frame++) {
        struct risen now;

        read_levels(line, levels);
        if (rise_take(rise, levels, frame * 50, &now) && first < 0) {
            first = frame;
            *risen = now;
        }
    }
    assert_true(frame > 250);
    assert_int_equal(pclose(file), 0);
    rise_free(rise);
    return first;
}

static void
recordings_are_told_where_they_were(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(recordings); i++) {
        const struct recording *of = &recordings[i];
        struct risen risen = {0};

        assert_row(of->name, first_alarm(of->name, &risen), of->first);
        if (of->hz > 0) /* the band; one third next to it in one of them, as the study says */
            assert_near_in(of->name, log2(risen.hz / of->hz), 0, 1.0 / 6);
    }
}

/* ---- where it is ---- */

enum { FINE = 100 };

/* Fine bands 0.03 of a decade apart around a ring that grows by 20 dB/s, each lower by the square of
 * how far it stands away: the parabola's own shape. */
static void
fine_levels(const struct spectrum_bands *bands, double hz, double s, double levels[FINE])
{
    for (int i = 0; i < FINE; i++) {
        double away = log10(spectrum_hz(bands, i) / hz) / 0.03;

        levels[i] = fmax(-60 + 20 * fmax(0, s - 5) - 9 * away * away, -90);
    }
}

static struct risen
ring_at(double hz)
{
    const struct spectrum_bands bands = {FINE, 20.29, 20.29 * pow(10, 0.03 * (FINE - 1))};
    struct rise *rise = rise_new(&bands, 20);
    struct risen risen = {.third = -1};
    double levels[FINE];
    bool told = false;

    for (int frame = 0; frame < 160 && !told; frame++) {
        fine_levels(&bands, hz, frame / 20.0, levels);
        told = rise_take(rise, levels, frame * 50, &risen);
    }
    assert_true(told);
    rise_free(rise);
    return risen;
}

static void
fine_bands_say_where(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < 200; i++) {
        double hz = 60 * pow(100, dice_between(&dice, 0, 1));
        struct risen risen = ring_at(hz);

        assert_near(log2(risen.hz / hz), 0, 0.001);
        assert_near(risen.db_s, 20, 3);
        assert_near(risen.within_octaves, 0.03 / log10(2) / 4, 1e-9);
    }
}

/* ---- clocks ---- */

/* A ramp of 20 dB/s that comes as the fields say. */
struct arrival {
    const char *name;
    double real_rate; /* of the desk, which says 20 */
    int jitter_ms;    /* late by up to so much */
    int lose_one_in;  /* frames, 0: none */
    bool told;
};

static const struct arrival arrivals[] = {
    {"a steady desk", 20, 0, 0, true},           {"jitter", 20, 30, 0, true},
    {"a desk a little fast", 20.5, 10, 0, true}, {"a desk a little slow", 19.5, 10, 0, true},
    {"one in twenty lost", 20, 10, 20, true},    {"three frames a second are none", 3, 0, 0, false},
};

static bool
is_told(const struct arrival *of, struct dice *dice)
{
    struct spectrum_bands bands;
    struct rise *rise;
    struct risen risen;
    double levels[SPECTRUM_THIRDS];
    bool told = false;

    assert_true(spectrum_bands_of_thirds(SPECTRUM_THIRDS, &bands));
    rise = rise_new(&bands, 20);
    for (int frame = 0; frame < 7.9 * of->real_rate; frame++) {
        const struct ramp ramp = {.db_s = 20};
        double s = frame / of->real_rate;

        for (int i = 0; i < SPECTRUM_THIRDS; i++)
            levels[i] = -70;
        levels[KHZ] = ramp_db(&ramp, s);
        if (of->lose_one_in > 0 && dice_below(dice, of->lose_one_in) == 0)
            continue;
        told |=
            rise_take(rise, levels, lround(s * 1000) + dice_below(dice, of->jitter_ms + 1), &risen);
    }
    rise_free(rise);
    return told;
}

static void
clocks_are_never_perfect(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (size_t i = 0; i < COUNT(arrivals); i++)
        for (int turn = 0; turn < 20; turn++)
            assert_row(arrivals[i].name, is_told(&arrivals[i], &dice), arrivals[i].told);
}

/* What a desk may send: nothing at all, silence, the loudest, in any order and at any time. */
static void
nothing_it_hears_breaks_it(void **state)
{
    struct dice dice = dice_new();
    struct spectrum_bands bands;
    struct rise *rise;
    int64_t now_ms = 0;

    (void)state;
    assert_true(spectrum_bands_of_thirds(SPECTRUM_THIRDS, &bands));
    rise = rise_new(&bands, 20);
    for (int frame = 0; frame < 20000; frame++) {
        static const double ends[] = {-HUGE_VAL, -200, 0, 30};
        double levels[SPECTRUM_THIRDS];
        struct risen risen;

        for (int i = 0; i < SPECTRUM_THIRDS; i++)
            levels[i] = dice_below(&dice, 4) ? dice_between(&dice, -100, 0)
                                             : ends[dice_below(&dice, (int)COUNT(ends))];
        now_ms += dice_below(&dice, 50) ? dice_below(&dice, 100) : dice_below(&dice, 3000) - 1000;
        if (rise_take(rise, levels, now_ms, &risen)) {
            assert_in_range(risen.third, 0, SPECTRUM_THIRDS - 1);
            assert_true(isfinite(risen.hz) && risen.hz > 10 && risen.db_s > 0);
        }
    }
    rise_free(rise);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ramps_are_told_where_they_were),
        cmocka_unit_test(recordings_are_told_where_they_were),
        cmocka_unit_test(fine_bands_say_where),
        cmocka_unit_test(clocks_are_never_perfect),
        cmocka_unit_test(nothing_it_hears_breaks_it),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
