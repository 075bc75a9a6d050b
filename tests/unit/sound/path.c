/* SPDX-License-Identifier: MIT */
/* Path gain: every part where it belongs, by the tap. The sums are worked out by hand beside each
 * row; the filters are checked against published tables and SciPy elsewhere.
 */
#include "path_gain.h"
#include "rig.h"
#include "unit.h"

#include <math.h>

#include "check/check.h"
#include "sound/path.h"

static const enum param_id reads[] = {PATH_LEVEL_READS, PATH_INPUT_FILTER_READS,
                                      PATH_MIX_FILTER_READS, PARAMS};

/* The gain, or NAN when it is not known. */
static double
gain_or_why(struct rig *rig, int input, int mix, double hz, char why[MISSES_SIZE])
{
    struct verdict verdict;
    struct look look = look_reader(rig->desk, rig->show, reads, &verdict);
    double gain_db;
    struct text text;

    if (path_gain_db(&look, input, mix, hz, &gain_db))
        return gain_db;
    assert_true(look.missing > 0);
    text_init(&text, why, MISSES_SIZE);
    misses_add(&text, &look.misses);
    return NAN;
}

static double
gain(struct rig *rig, double hz)
{
    char why[MISSES_SIZE];

    return gain_or_why(rig, 0, 0, hz, why);
}

/* Every part at a value of its own, so that one left out or doubled shows in the sum. */
static void
start(struct rig *rig)
{
    rig_start(rig, 2, 2);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 40);
    rig_set(rig, PARAM_INPUT_PAD, 0, 0, 20);
    rig_set(rig, PARAM_INPUT_TRIM, 0, 0, 3);
    rig_set(rig, PARAM_INPUT_COMP_ON, 0, 0, 1);
    rig_set(rig, PARAM_INPUT_COMP_MAKEUP, 0, 0, 4);
    rig_set(rig, PARAM_INPUT_FADER, 0, 0, -5);
    rig_set(rig, PARAM_INPUT_GROUP, 0, 0, 1);
    rig_set(rig, PARAM_GROUP_FADER, 0, 0, -0.5);
    rig_set(rig, PARAM_GROUP_FADER, 1, 0, -50); /* not its group */
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -7);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -1);
    rig_set(rig, PARAM_MIX_TRIM, 0, 0, 0.25);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
}

static void
parts_follow_the_tap(void **state)
{
    static const struct {
        const char *name;
        enum tap tap;
        double gain_db;
    } rows[] = {
        {"pre-eq", TAP_PRE_EQ, 40 - 20 + 3 - 7 - 1 + 0.25},
        {"pre-fader", TAP_PRE_FADER, 40 - 20 + 3 + 4 - 7 - 1 + 0.25},
        {"post-fader", TAP_POST_FADER, 40 - 20 + 3 + 4 - 5 - 0.5 - 7 - 1 + 0.25},
    };
    struct rig *rig = *state;

    for (size_t i = 0; i < 3; i++) {
        start(rig);
        rig_set(rig, PARAM_SEND_TAP, 0, 0, rows[i].tap);
        assert_near_in(rows[i].name, gain(rig, 1000), rows[i].gain_db, 1e-12);
    }
}

/* At its corner a Butterworth high-pass of any order takes 10 log10 2; a peak gives its gain at its
 * centre (cookbook). */
static void
filters_of_the_input_lie_behind_the_pre_eq_tap(void **state)
{
    struct rig *rig = *state;
    double flat_db;

    start(rig);
    flat_db = gain(rig, 200);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 1);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 200);
    assert_near(gain(rig, 200) - flat_db, -10 * log10(2), 1e-9);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    rig_set(rig, PARAM_INPUT_EQ_BAND_FREQ, 0, 1, 200);
    rig_set(rig, PARAM_INPUT_EQ_BAND_Q, 0, 1, 2);
    rig_set(rig, PARAM_INPUT_EQ_BAND_GAIN, 0, 1, 6);
    assert_near(gain(rig, 200) - flat_db, 6, 1e-9);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_EQ);
    assert_near(gain(rig, 200) - flat_db, -4, 1e-9); /* without the 4 dB of make-up too */
}

static void
filters_of_the_mix_are_always_in(void **state)
{
    struct rig *rig = *state;
    double flat_db;

    start(rig);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_EQ);
    flat_db = gain(rig, 1000);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 17, -9); /* the 1 kHz band */
    assert_near(gain(rig, 1000) - flat_db, -9, 1e-9);
    rig_set(rig, PARAM_MIX_GRAPHIC_ON, 0, 0, 0);
    assert_near(gain(rig, 1000) - flat_db, 0, 1e-12);
    rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, 0, 1000);
    rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, 0, -3);
    assert_near(gain(rig, 1000) - flat_db, -3, 1e-9);
}

/* Half the gain in dB at the edges of the band (cookbook), where the desk says its width in
 * octaves. */
static void
width_may_be_in_octaves(void **state)
{
    struct rig *rig = *state;
    double flat_db;

    start(rig);
    flat_db = gain(rig, 1000);
    rig_set(rig, PARAM_INPUT_EQ_BAND_FREQ, 0, 0, 100);
    rig_set(rig, PARAM_INPUT_EQ_BAND_Q, 0, 0, 1.0 / 3);
    rig_set(rig, PARAM_INPUT_EQ_BAND_GAIN, 0, 0, -9);
    desk_set_filters(rig->desk, (struct desk_filters){.rate_hz = 48000, .width_in_octaves = true});
    /* references: width of a -9 dB cut of 1/3 octave at 100 Hz, 89.0898 to 112.2462 Hz */
    assert_near(gain(rig, 89.0898) - flat_db, -4.5, 1e-4);
    assert_near(gain(rig, 112.2462) - flat_db, -4.5, 1e-4);
}

static void
closed_paths_have_no_gain(void **state)
{
    struct rig *rig = *state;

    start(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -HUGE_VAL);
    assert_true(gain(rig, 1000) == -HUGE_VAL);
    start(rig);
    rig_set(rig, PARAM_SEND_ON, 0, 0, 0);
    assert_true(gain(rig, 1000) == -HUGE_VAL);
    start(rig);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -HUGE_VAL);
    assert_true(gain(rig, 1000) == -HUGE_VAL);
}

/* Each piece, once unknown, makes the result unknown and is named. */
static void
unknown_pieces_are_named(void **state)
{
    static const struct {
        enum param_id id;
        const char *names;
    } rows[] = {
        {PARAM_INPUT_PREAMP_GAIN, "input.preamp_gain of input 1 was never heard"},
        {PARAM_INPUT_TRIM, "input.trim of input 1 was never heard"},
        {PARAM_INPUT_PAD, "input.pad of input 1 was never heard"},
        {PARAM_INPUT_FADER, "input.fader of input 1 was never heard"},
        {PARAM_GROUP_FADER, "group.fader of group 1 was never heard"},
        {PARAM_SEND_LEVEL, "send.level of input 1, mix 1 was never heard"},
        {PARAM_SEND_TAP, "send.tap of input 1, mix 1 was never heard"},
        {PARAM_MIX_FADER, "mix.fader of mix 1 was never heard"},
        {PARAM_MIX_GRAPHIC_BAND_GAIN, "mix.graphic.band.gain of mix 1, band 1 was never heard"},
        {PARAM_INPUT_EQ_BAND_GAIN, "input.eq.band.gain of input 1, band 1 was never heard"},
        {PARAM_INPUT_HIGH_PASS_ON, "input.high_pass.on of input 1 was never heard"},
    };
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char why[MISSES_SIZE];

        start(rig);
        rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_POST_FADER);
        rig_forget(rig, rows[i].id, SUPPLY_HEARD);
        assert_true(isnan(gain_or_why(rig, 0, 0, 1000, why)));
        assert_string_equal(why, rows[i].names);
    }
}

/* Several are named together; of many bands the first stands for all. */
static void
all_unknown_pieces_are_named(void **state)
{
    struct rig *rig = *state;
    char why[MISSES_SIZE];

    start(rig);
    rig_forget(rig, PARAM_INPUT_TRIM, SUPPLY_HEARD);
    rig_forget(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, SUPPLY_NONE);
    rig_forget(rig, PARAM_INPUT_HIGH_PASS_ON, SUPPLY_HEARD);
    assert_true(isnan(gain_or_why(rig, 0, 0, 1000, why)));
    assert_string_equal(why, "input.trim of input 1 was never heard; the profile does not name "
                             "mix.graphic.band.gain (add it, or a constant under \"fixed\"); "
                             "input.high_pass.on of input 1 was never heard");
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(parts_follow_the_tap),
        RIG_TEST(filters_of_the_input_lie_behind_the_pre_eq_tap),
        RIG_TEST(filters_of_the_mix_are_always_in),
        RIG_TEST(width_may_be_in_octaves),
        RIG_TEST(closed_paths_have_no_gain),
        RIG_TEST(unknown_pieces_are_named),
        RIG_TEST(all_unknown_pieces_are_named),
    };

    return cmocka_run_group_tests_name("path", tests, NULL, NULL);
}
