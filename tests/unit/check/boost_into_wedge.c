/* SPDX-License-Identifier: MIT */
/* Lifts of an input, of a mix, and of the path through both. A peaking filter of the cookbook has
 * its whole gain at its centre and half of it at the edges of its width.
 */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "rig.h"
#include "sound/filter.h"

static const char check[] = "boost-into-wedge";

/* Input 1 at 0 dB, pre-fader, into mixes 1 and 2, wedges; mix 3 feeds ears. High-pass off. */
static struct rig *
start(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 2, 3);
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Ld Vox wedge");
    rig_set_text(rig, PARAM_MIX_NAME, 1, "Keys wedge");
    rig_set_text(rig, PARAM_MIX_NAME, 2, "Drums IEM");
    for (int mix = 0; mix < 3; mix++)
        rig_set(rig, PARAM_SEND_LEVEL, 0, mix, 0);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    return rig;
}

static void
set_input(struct rig *rig, int band, double hz, double gain_db, double q)
{
    rig_set(rig, PARAM_INPUT_EQ_BAND_FREQ, 0, band, hz);
    rig_set(rig, PARAM_INPUT_EQ_BAND_GAIN, 0, band, gain_db);
    rig_set(rig, PARAM_INPUT_EQ_BAND_Q, 0, band, q);
}

static void
set_mix(struct rig *rig, int mix, double hz, double gain_db, double q)
{
    rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, mix, 0, hz);
    rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, mix, 0, gain_db);
    rig_set(rig, PARAM_MIX_EQ_BAND_Q, mix, 0, q);
}

static void
input_is(struct rig *rig, const char *what, enum outcome outcome)
{
    assert_row(what, rig_judge_input(rig, check, 0)->outcome, outcome);
}

/* Wherever the peak stands between fixed places, and however narrow it is. */
static void
narrow_peaks_are_seen(void **state)
{
    static const struct {
        double hz, gain_db, q;
        enum weight weight;
    } rows[] = {{1037, 6, 20, WEIGHT_NOTE},   {2749, 6, 100, WEIGHT_NOTE},
                {1029, 9.5, 4, WEIGHT_FIX},   {333, 3.01, 50, WEIGHT_NOTE},
                {19990, 6, 200, WEIGHT_NOTE}, {20, 6, 200, WEIGHT_NOTE}};
    struct rig *rig = start(state);

    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct verdict *verdict;

        set_input(rig, 0, rows[i].hz, rows[i].gain_db, rows[i].q);
        verdict = rig_judge_input(rig, check, 0);
        assert_int_equal(verdict->outcome, OUTCOME_FINDING);
        assert_int_equal(verdict->weight, rows[i].weight);
        assert_near(rig_figure(verdict, "boost_db"), rows[i].gain_db, 1e-6);
        assert_near(rig_figure(verdict, "at_hz"), rows[i].hz, rows[i].hz * 1e-3);
        set_input(rig, 0, rows[i].hz, 2.99, rows[i].q);
        input_is(rig, "a small one", OUTCOME_PASS);
    }
}

/* Two peaks have their sum somewhere between them: 20,000 places find no higher one. */
static void
top_between_peaks_is_climbed(void **state)
{
    struct dice dice = dice_new();
    struct rig *rig = start(state);

    for (int round = 0; round < 50; round++) {
        double q = dice_between(&dice, 2, 12), hz = dice_between(&dice, 100, 8000);
        double apart = pow(2, dice_between(&dice, 0, 0.8) / q), most_db = 0;
        const double hertz[] = {hz, hz * apart};

        for (int band = 0; band < 2; band++)
            set_input(rig, band, hertz[band], 5 + band, q);
        for (int i = 0; i < 20000; i++) {
            double at = hz / 2 * pow(4 * apart, i / 19999.0), db = 0;

            for (int band = 0; band < 2; band++) {
                const struct biquad biquad =
                    filter_biquad(SHAPE_PEAK, hertz[band], 5 + band, q, 48000);

                db += filter_biquad_at(&biquad, filter_warp(at, 48000));
            }
            most_db = fmax(most_db, db);
        }
        assert_near(rig_figure(rig_judge_input(rig, check, 0), "boost_db"), most_db, 0.01);
    }
}

/* 2.9 dB in the input and 2.9 dB in the mix are 5.8 dB in the path; at other frequencies they are
 * not, and a mix that tells of itself is not told again. */
static void
path_counts_as_a_whole(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    set_input(rig, 0, 2500, 2.9, 2);
    input_is(rig, "input alone", OUTCOME_PASS);
    set_mix(rig, 1, 2500, 2.9, 2);
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_PASS);
    verdict = rig_judge_input(rig, check, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_NOTE);
    assert_int_equal(verdict->mix, 1);
    assert_near(rig_figure(verdict, "boost_db"), 5.8, 1e-6);
    assert_near(rig_figure(verdict, "input_boost_db"), 2.9, 1e-6);
    assert_near(rig_figure(verdict, "mix_boost_db"), 2.9, 1e-6);
    assert_contains(rig->words.says, "the equalisers of the input and of mix 2 Keys wedge together "
                                     "boost by 5.8 dB near 2500 Hz, 2.9 and 2.9 dB, so this path");
    assert_null(strstr(rig->words.says, "graphic"));
    set_mix(rig, 1, 200, 2.9, 2);
    input_is(rig, "at another frequency", OUTCOME_PASS);
    set_mix(rig, 1, 2500, 2.9, 2);
    rig_set(rig, PARAM_SEND_TAP, 0, 1, TAP_PRE_EQ);
    input_is(rig, "the input's filters are not in it", OUTCOME_PASS);
    rig_set(rig, PARAM_SEND_TAP, 0, 1, TAP_PRE_FADER);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -HUGE_VAL);
    input_is(rig, "closed", OUTCOME_PASS);
    set_mix(rig, 2, 2500, 2.9, 2);
    input_is(rig, "into ears", OUTCOME_PASS);
}

static void
mix_that_tells_of_itself_is_not_told_again(void **state)
{
    struct rig *rig = start(state);

    set_input(rig, 0, 2500, 2, 2);
    set_mix(rig, 0, 2500, 4, 2);
    assert_int_equal(rig_judge_mix(rig, check, 0)->weight, WEIGHT_NOTE);
    input_is(rig, "6 dB where the mix tells of 4", OUTCOME_PASS);
    set_mix(rig, 0, 2500, 8, 2);
    assert_int_equal(rig_judge_mix(rig, check, 0)->weight, WEIGHT_NOTE);
    input_is(rig, "10 dB where the mix tells of 8", OUTCOME_FINDING);
    assert_int_equal(rig->verdict.weight, WEIGHT_FIX);
    set_mix(rig, 0, 2500, 10, 2);
    assert_int_equal(rig_judge_mix(rig, check, 0)->weight, WEIGHT_FIX);
    input_is(rig, "12 dB where the mix tells of 10", OUTCOME_PASS);
}

/* Cuts of one take from lifts of the other. */
static void
cut_in_the_mix_takes_the_lift_away(void **state)
{
    struct rig *rig = start(state);

    set_input(rig, 0, 1000, 2.9, 4);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 17, 2.9);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -HUGE_VAL);
    input_is(rig, "on top of each other", OUTCOME_FINDING);
    assert_contains(rig->words.says, "(graphic bands taken as 1/3 octave wide)");
    set_mix(rig, 0, 1000, -2.9, 4);
    input_is(rig, "a cut there", OUTCOME_PASS);
}

/* A mix of unknown filters matters to an input that lifts something, and to no other. */
static void
unknown_mix_is_not_known(void **state)
{
    struct rig *rig = start(state);

    rig_stale(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 1, 4);
    input_is(rig, "flat", OUTCOME_PASS);
    set_input(rig, 0, 1000, -6, 4);
    input_is(rig, "a cut", OUTCOME_PASS);
    set_input(rig, 0, 1000, 1, 4);
    input_is(rig, "a small lift", OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why, "mix.graphic.band.gain of mix 2, band 5 is stale");
    set_input(rig, 0, 1000, 4, 4);
    input_is(rig, "a lift that is enough by itself", OUTCOME_FINDING);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(narrow_peaks_are_seen),
        RIG_TEST(top_between_peaks_is_climbed),
        RIG_TEST(path_counts_as_a_whole),
        RIG_TEST(mix_that_tells_of_itself_is_not_told_again),
        RIG_TEST(cut_in_the_mix_takes_the_lift_away),
        RIG_TEST(unknown_mix_is_not_known),
    };

    return cmocka_run_group_tests_name("boost_into_wedge", tests, NULL, NULL);
}
