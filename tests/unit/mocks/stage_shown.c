/* SPDX-License-Identifier: MIT */
/*
 * What a desk before a stage shows: meters, spectra, how loud noise and talkers are; and that a
 * stage out of a seed is the same each time, and reads back as it was written.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "rig/bare_stage.h"
#include "unit.h"

static const double PI = 3.14159265358979323846;

/* Nothing comes back: the wedge's mix is closed. */
static struct stage *
closed_stage(void)
{
    double raise;
    struct stage *stage = bare_stage(10, &raise);

    assert_true(stage_set(stage, "mix", "open", 1, 0, 0));
    assert_true(stage_set(stage, "input", "gain", 1, 0, 0));
    stage_rest(stage); /* and the gain is there */
    return stage;
}

static void
play_sine(struct stage *stage, double hz, double peak, int count)
{
    double *samples = calloc((size_t)count, sizeof *samples);

    assert_non_null(samples);
    for (int i = 0; i < count; i++)
        samples[i] = peak * sin(2 * PI * hz * i / 48000);
    assert_true(stage_play(stage, 1, samples, count));
    free(samples);
}

/* IEC 60268-18's fall; a full-scale sine peaks at 0 dBFS. */
static void
a_meter_rises_at_once_and_falls_slowly(void **state)
{
    struct stage *stage = closed_stage();

    (void)state;
    assert_near(stage_meter(stage, STAGE_INPUT, 1), -120, 0);
    play_sine(stage, 1000, 0.5, 4800);
    stage_run(stage, 0.1);
    assert_near(stage_meter(stage, STAGE_INPUT, 1), -6.0206, 0.02);
    stage_run(stage, 1.7);
    assert_near(stage_meter(stage, STAGE_INPUT, 1), -26.0206, 0.02);
    stage_rest(stage);
    assert_near(stage_meter(stage, STAGE_INPUT, 1), -120, 0);
    assert_near(stage_meter(stage, STAGE_MIX, 1), -120, 0);
    stage_close(stage);
}

/*
 * A sine of full scale is -3.01 dBFS rms, all of it in the band it lies in; "F" of IEC 61672-1
 * falls 34.7 dB/s.
 */
static void
a_sine_stands_in_its_band(void **state)
{
    struct stage *stage = closed_stage();

    (void)state;
    for (int band = 8; band < 31; band += 5) {
        double thirds[31], fine[100], sum = 0, hz = 1000 * pow(10, (band - 17) / 10.0);

        stage_rest(stage);
        play_sine(stage, hz, 0.999, 96000);
        stage_run(stage, 2);
        assert_true(stage_spectrum(stage, STAGE_INPUT, 1, 31, thirds));
        assert_true(stage_spectrum(stage, STAGE_INPUT, 1, 100, fine));
        assert_near(thirds[band], -3.02, 0.05);
        assert_true(thirds[band - 1] < -30);
        for (int i = 0; i < 100; i++)
            sum += pow(10, fine[i] / 10);
        assert_near(10 * log10(sum), -3.02, 0.05);
        stage_run(stage, 0.5);
        assert_true(stage_spectrum(stage, STAGE_INPUT, 1, 31, thirds));
        assert_true(thirds[band] < -3 - 34.7 * 0.3 && thirds[band] > -3 - 34.7 * 0.5);
    }
    assert_false(stage_spectrum(stage, STAGE_INPUT, 1, 30, NULL));
    assert_false(stage_spectrum(stage, STAGE_INPUT, 2, 31, NULL));
    stage_close(stage);
}

static double
rms_db(const struct stage *stage)
{
    static double samples[48000];
    double sum = 0;

    assert_true(stage_record(stage, STAGE_INPUT, 1, samples, 48000));
    for (size_t i = 0; i < COUNT(samples); i++)
        sum += samples[i] * samples[i];
    return 10 * log10(sum / 48000);
}

/*
 * 94 dB SPL is 1 Pa, 2 mV from this microphone, -51.76 dBu (20 log10 of 2 mV over 0.7746 V), of
 * which +18 dBu is full scale; and full scale is a sine's, 3.01 dB over its rms.
 */
static void
noise_and_talkers_are_as_loud_as_asked(void **state)
{
    struct stage *stage = closed_stage();
    double expected = 20 * log10(0.002 / 0.774597) - 18 - 3.0103;

    (void)state;
    stage_noise(stage, 93.9794);
    stage_run(stage, 1.2);
    assert_near(rms_db(stage), expected, 0.7);
    stage_noise(stage, -INFINITY);
    assert_true(stage_talk(stage, 1, 67.9588)); /* 26.02 dB less at 1 m than at 5 cm */
    stage_run(stage, 1.2);
    assert_near(rms_db(stage), expected, 1.5);
    assert_true(stage_talk(stage, 1, -INFINITY));
    stage_run(stage, 1.2);
    assert_true(rms_db(stage) < -150);
    assert_false(stage_talk(stage, 2, 60));
    stage_close(stage);
}

/* Pink: the same in each third. */
static void
noise_is_pink(void **state)
{
    struct stage *stage = closed_stage();
    double sums[31] = {0}, thirds[31], middle = 0;

    (void)state;
    stage_noise(stage, 90);
    for (int n = 0; n < 120; n++) {
        stage_run(stage, 0.25);
        assert_true(stage_spectrum(stage, STAGE_INPUT, 1, 31, thirds));
        for (int i = 0; i < 31; i++)
            sums[i] += pow(10, thirds[i] / 10) / 120;
    }
    for (int i = 8; i < 28; i++)
        middle += 10 * log10(sums[i]) / 20;
    for (int i = 8; i < 28; i++)
        assert_near(10 * log10(sums[i]), middle, 1);
    stage_close(stage);
}

static void
same_response(const struct stage *one, const struct stage *other)
{
    static double a[4800], b[4800];

    for (int mix = 1; mix <= 2; mix++)
        for (int input = 1; input <= 3; input++) {
            assert_true(stage_acoustic(one, mix, input, a, 4800));
            assert_true(stage_acoustic(other, mix, input, b, 4800));
            assert_memory_equal(a, b, sizeof a);
        }
}

static void
a_seed_is_a_stage(void **state)
{
    char name[] = "/tmp/stage-XXXXXX";
    int fd = mkstemp(name);
    struct stage *one = stage_open(NULL, "random:20:3x2");
    struct stage *again = stage_open(NULL, "random:20:3x2");
    struct stage *other = stage_open(NULL, "random:21:3x2");
    struct stage *read;
    double a[4800], b[4800];

    (void)state;
    assert_true(fd >= 0);
    close(fd);
    assert_true(one && again && other);
    same_response(one, again);
    assert_true(stage_save(one, name));
    read = stage_open(NULL, name);
    unlink(name);
    assert_non_null(read);
    same_response(one, read);
    assert_near(stage_run(one, 0.5), stage_run(read, 0.5), 0);
    assert_true(stage_record(one, STAGE_MIX, 1, a, 4800) &&
                stage_record(read, STAGE_MIX, 1, b, 4800));
    assert_memory_equal(a, b, sizeof a);
    assert_true(stage_acoustic(one, 1, 1, a, 4800) && stage_acoustic(other, 1, 1, b, 4800));
    assert_true(memcmp(a, b, sizeof a) != 0);
    stage_close(one);
    stage_close(again);
    stage_close(other);
    stage_close(read);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_meter_rises_at_once_and_falls_slowly),
        cmocka_unit_test(a_sine_stands_in_its_band),
        cmocka_unit_test(noise_and_talkers_are_as_loud_as_asked),
        cmocka_unit_test(noise_is_pink),
        cmocka_unit_test(a_seed_is_a_stage),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
