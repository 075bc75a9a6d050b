/* SPDX-License-Identifier: MIT */
/*
 * A loop that is a factor and a delay, beside what is published of it: D. Troxel, RaneNote 158
 * (2005): possible rings 1 / delay apart, growth = excess / delay; peak and ripple of the closed
 * loop by its equation (T. van Waterschoot and M. Moonen, Proc. IEEE 99(2), 2011, eq. 10).
 */
#include <math.h>
#include <stdlib.h>

#include "rig/bare_stage.h"
#include "unit.h"

/* RaneNote 158: +0.5 dB over these delays. */
static const struct {
    double delay_ms, spacing_hz, growth;
} troxel[] = {{10, 100, 50}, {25, 40, 20}, {100, 10, 5}};

static void
grows_by_excess_over_delay(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(troxel); i++) {
        double raise, hz;
        struct stage *stage = bare_stage(troxel[i].delay_ms, &raise);
        double growth = stage_growth(stage, raise + 0.5, &hz);

        assert_near(growth, troxel[i].growth, troxel[i].growth * 0.05);
        assert_near(stage_growth(stage, raise - 0.5, NULL), -troxel[i].growth,
                    troxel[i].growth * 0.05);
        assert_near(remainder(hz, troxel[i].spacing_hz), 0, 1);
        stage_close(stage);
    }
}

static void
onset_is_where_the_factor_is_one(void **state)
{
    double raise, hz;
    struct stage *stage = bare_stage(10, &raise);

    (void)state;
    assert_near(stage_onset(stage, &hz), raise, 0.02);
    assert_near(remainder(hz, 100), 0, 1);
    assert_true(stage_set(stage, "input", "trim", 1, 0, 7));
    assert_near(stage_onset(stage, &hz), raise - 7, 0.02);
    assert_true(stage_set(stage, "input", "open", 1, 0, 0));
    assert_true(isinf(stage_onset(stage, &hz)));
    stage_close(stage);
}

static void
polarity_puts_rings_in_between(void **state)
{
    double raise, hz;
    struct stage *stage = bare_stage(10, &raise);

    (void)state;
    assert_true(stage_set(stage, "input", "inverted", 1, 0, 1));
    assert_near(stage_onset(stage, &hz), raise, 0.02);
    assert_near(fabs(remainder(hz, 100)), 50, 1);
    stage_close(stage);
}

/* References: closed-loop response for in-phase loop gain g, peak -20 log10(1 - 10^(g/20)), ripple
 * from there to the dip in between. */
static const struct {
    double below_db, peak_db, ripple_db;
} closed[] = {
    {-1, 19.2715, 24.8065}, {-3, 10.6907, 15.3402}, {-6, 6.0412, 9.5699}, {-12, 2.5126, 4.459}};

static void
peaks_and_dips_below_onset(void **state)
{
    enum { LONG = 60000 };
    double *out = calloc(LONG, sizeof *out);

    (void)state;
    assert_non_null(out);
    for (size_t i = 0; i < COUNT(closed); i++) {
        double raise, impulse = 0.001;
        struct stage *stage = bare_stage(10, &raise);
        double open_db = 20 * log10(impulse) + 10 + raise + closed[i].below_db;

        assert_true(stage_set(stage, "input", "gain", 1, 0, 10 + raise + closed[i].below_db));
        stage_run(stage, 0.05);
        assert_true(stage_play(stage, 1, &impulse, 1));
        stage_run(stage, 1.2);
        assert_true(stage_record(stage, STAGE_MIX, 1, out, LONG));
        for (double hz = 100; hz <= 15000; hz *= 5) {
            double peak = response_db(out, LONG, hz) - open_db;
            double dip = response_db(out, LONG, hz + 50) - open_db;

            assert_near(peak, closed[i].peak_db, 0.05);
            assert_near(peak - dip, closed[i].ripple_db, 0.05);
        }
        stage_close(stage);
    }
    free(out);
}

/* A ring as it is heard: grown out of noise by excess / delay, it holds at the clipper. */
static void
grows_out_of_noise_and_holds(void **state)
{
    double raise;
    struct stage *stage = bare_stage(10, &raise);
    struct stage_ring ring;
    double out[4800];

    (void)state;
    stage_noise(stage, 30);
    assert_true(stage_set(stage, "input", "gain", 1, 0, 10 + raise - 6));
    stage_run(stage, 2);
    assert_int_equal(stage_rings(stage, &ring, 1), 0);
    assert_true(stage_set(stage, "input", "gain", 1, 0, 10 + raise + 0.5));
    while (stage_rings(stage, &ring, 1) == 0 && stage_time(stage) < 10)
        stage_run(stage, 0.05);
    assert_int_equal(ring.holds, 0);
    assert_near(remainder(ring.hz, 100), 0, 2);
    stage_run(stage, 4);
    assert_true(stage_rings(stage, &ring, 1) > 0);
    assert_int_equal(ring.holds, 1);
    assert_near(ring.growth, 50, 2.5);
    assert_near(ring.began, 2, 0.002);
    assert_near(stage_meter(stage, STAGE_MIX, 1), 0, 0.01);
    assert_true(stage_record(stage, STAGE_MIX, 1, out, 4800));
    for (size_t i = 0; i < COUNT(out); i++)
        assert_true(fabs(out[i]) <= 1);
    assert_true(stage_set(stage, "input", "gain", 1, 0, 10 + raise - 6));
    stage_run(stage, 3);
    assert_int_equal(stage_rings(stage, &ring, 1), 0);
    stage_close(stage);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(grows_by_excess_over_delay),
        cmocka_unit_test(onset_is_where_the_factor_is_one),
        cmocka_unit_test(polarity_puts_rings_in_between),
        cmocka_unit_test(peaks_and_dips_below_onset),
        cmocka_unit_test(grows_out_of_noise_and_holds),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
