/* SPDX-License-Identifier: MIT */
/* The three checks of the high-pass filter, judged on paths: the tap, bands of the equaliser, what
 * the mix filters itself, and whether the path is loud enough to matter.
 */
#include "unit.h"

#include <math.h>

#include "rig.h"

static const char missing[] = "high-pass-missing";
static const char low[] = "high-pass-low";
static const char high[] = "high-pass-high";

/* Input 1 is a lead vocal (corners 100 to 180 Hz) into a wedge at -14 dB. */
static struct rig *
start(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 1, 2);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ld Vox");
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Wedge 1");
    rig_set_text(rig, PARAM_MIX_NAME, 1, "IEM 2");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -14);
    return rig;
}

static void
set_filter(struct rig *rig, double corner_hz, double slope)
{
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 1);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, corner_hz);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_SLOPE, 0, 0, slope);
}

/* As start(), with a second input, a line, at 0 dB into the wedge. */
static struct rig *
start_beside(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 2, 2);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ld Vox");
    rig_set_text(rig, PARAM_INPUT_NAME, 1, "Keys");
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Wedge 1");
    rig_set_text(rig, PARAM_MIX_NAME, 1, "Wedge 2");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -14);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, 0);
    return rig;
}

static void
is(struct rig *rig, const char *check, enum outcome outcome, const char *what)
{
    assert_row(what, rig_judge_input(rig, check, 0)->outcome, outcome);
}

/* A pre-eq tap leaves the filter out: it is on, and does nothing there. */
static void
filter_behind_the_tap_is_told(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_EQ);
    verdict = rig_judge_input(rig, missing, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_FIX);
    assert_int_equal(verdict->mix, 0);
    assert_string_equal(rig->words.says,
                        "the high-pass is on, but the send into mix 1 Wedge 1 is taken before it "
                        "(tap pre-eq), so the filter does nothing there; a lead-vocal source needs "
                        "nothing below 100 Hz");
    assert_contains(rig->words.cure, "switch on a high-pass of that mix at 100 Hz");
    set_filter(rig, 30, 12); /* where it is does not matter where it is not heard */
    is(rig, low, OUTCOME_NOT_ASKED, "low");
    set_filter(rig, 600, 12);
    is(rig, high, OUTCOME_NOT_ASKED, "high");
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_FADER);
    is(rig, missing, OUTCOME_PASS, "behind the filter");
    is(rig, high, OUTCOME_FINDING, "heard");
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_EQ);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -HUGE_VAL);
    is(rig, missing, OUTCOME_PASS, "nothing open");
    rig_set(rig, PARAM_SEND_TAP, 0, 1, TAP_PRE_EQ);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 0);
    is(rig, missing, OUTCOME_PASS, "in-ears do not howl");
}

static void
band_of_the_equaliser_is_a_high_pass(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    rig_set(rig, PARAM_INPUT_EQ_BAND_SHAPE, 0, 2, SHAPE_HIGH_PASS);
    rig_set(rig, PARAM_INPUT_EQ_BAND_FREQ, 0, 2, 120);
    is(rig, missing, OUTCOME_PASS, "a band");
    is(rig, low, OUTCOME_PASS, "a band at 120 Hz");
    is(rig, high, OUTCOME_PASS, "a band at 120 Hz");
    rig_set(rig, PARAM_INPUT_EQ_BAND_FREQ, 0, 2, 40);
    is(rig, low, OUTCOME_FINDING, "a band at 40 Hz");
    assert_near(rig_figure(&rig->verdict, "corner_hz"), 40, 0);
    assert_near(rig_figure(&rig->verdict, "filter_order"), 2, 0);
    rig_set(rig, PARAM_INPUT_EQ_BAND_FREQ, 0, 2, 600);
    is(rig, high, OUTCOME_FINDING, "a band at 600 Hz");
    rig_set(rig, PARAM_INPUT_EQ_BAND_ON, 0, 2, 0);
    is(rig, missing, OUTCOME_FINDING, "a band that is off");
    rig_set(rig, PARAM_INPUT_EQ_BAND_ON, 0, 2, 1);
    rig_set(rig, PARAM_INPUT_EQ_ON, 0, 0, 0);
    is(rig, missing, OUTCOME_FINDING, "an equaliser that is out");
    rig_set(rig, PARAM_INPUT_EQ_ON, 0, 0, 1);
    rig_set(rig, PARAM_INPUT_EQ_BAND_SHAPE, 0, 2, SHAPE_LOW_SHELF);
    is(rig, missing, OUTCOME_FINDING, "a shelf");
}

/* What the wedge filters itself need not be filtered again; every one that matters must. */
static void
mix_filters_stand_in(void **state)
{
    struct rig *rig = start_beside(state);

    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    is(rig, missing, OUTCOME_FINDING, "no filter anywhere");
    rig_set(rig, PARAM_MIX_HIGH_PASS_ON, 0, 0, 1);
    rig_set(rig, PARAM_MIX_HIGH_PASS_SLOPE, 0, 0, 12);
    rig_set(rig, PARAM_MIX_HIGH_PASS_FREQ, 0, 0, 120);
    is(rig, missing, OUTCOME_PASS, "the wedge's own");
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_EQ);
    is(rig, missing, OUTCOME_PASS, "wherever the tap is");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -6);
    is(rig, missing, OUTCOME_FINDING, "the other wedge has none");
    rig_set(rig, PARAM_MIX_EQ_BAND_SHAPE, 1, 0, SHAPE_HIGH_PASS);
    rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 1, 0, 100);
    is(rig, missing, OUTCOME_PASS, "a band of its equaliser");
    rig_set_text(rig, PARAM_MIX_NAME, 1, "IEM 2");
    rig_set(rig, PARAM_MIX_EQ_ON, 1, 0, 0);
    is(rig, missing, OUTCOME_PASS, "in-ears beside a wedge that is right");
    rig_set(rig, PARAM_MIX_HIGH_PASS_FREQ, 0, 0, 40);
    is(rig, missing, OUTCOME_FINDING, "far too low to stand in");
}

/* Two filters that are far too low each make one that is not: 3 dB are taken at the least corner
 * that passes, 70.7 Hz. By the closed form 10 log10(1 + (60 / 70.7)^4) = 1.82 dB each. */
static void
low_filters_add_up(void **state)
{
    struct rig *rig = start(state);

    set_filter(rig, 60, 12);
    is(rig, low, OUTCOME_FINDING, "60 Hz alone");
    rig_set(rig, PARAM_MIX_HIGH_PASS_ON, 0, 0, 1);
    rig_set(rig, PARAM_MIX_HIGH_PASS_SLOPE, 0, 0, 12);
    rig_set(rig, PARAM_MIX_HIGH_PASS_FREQ, 0, 0, 60);
    is(rig, low, OUTCOME_PASS, "60 Hz twice");
    rig_set(rig, PARAM_MIX_HIGH_PASS_FREQ, 0, 0, 40);
    is(rig, low, OUTCOME_FINDING, "60 and 40 Hz: 1.8 and 0.4 dB");
}

/* A path 20 dB under the loudest of its mix does not matter; what the others do moves that line. */
static void
only_paths_that_matter_are_judged(void **state)
{
    static const struct {
        const char *name;
        double send_db, preamp_db, other_db;
        enum outcome outcome;
    } rows[] = {
        {"58 under", -58, 30, 0, OUTCOME_PASS},
        {"20 under", -20, 30, 0, OUTCOME_FINDING},
        {"a little more", -20.01, 30, 0, OUTCOME_PASS},
        {"the preamp makes up for it", -30, 40, 0, OUTCOME_FINDING},
        {"the loudest itself", -58, 30, -70, OUTCOME_FINDING},
        {"the other is off", -58, 30, -HUGE_VAL, OUTCOME_FINDING},
    };
    struct rig *rig = start_beside(state);

    for (size_t i = 0; i < COUNT(rows); i++) {
        rig_set(rig, PARAM_SEND_LEVEL, 0, 0, rows[i].send_db);
        rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, rows[i].preamp_db);
        rig_set(rig, PARAM_SEND_LEVEL, 1, 0, rows[i].other_db);
        rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
        is(rig, missing, rows[i].outcome, rows[i].name);
        set_filter(rig, 30, 12);
        is(rig, low, rows[i].outcome, rows[i].name);
        set_filter(rig, 600, 12);
        is(rig, high, rows[i].outcome, rows[i].name);
    }
}

/* No value of the input itself moves: only the other one does, and the finding follows. */
static void
other_inputs_move_the_line(void **state)
{
    struct rig *rig = start_beside(state);

    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -30);
    is(rig, missing, OUTCOME_PASS, "30 under");
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, -12);
    is(rig, missing, OUTCOME_FINDING, "18 under");
    assert_int_equal(rig_told(rig, missing, EVENT_RAISED), 1);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 40);
    is(rig, missing, OUTCOME_PASS, "28 under");
    rig_set(rig, PARAM_INPUT_MUTE, 1, 0, 1); /* a mute is no set-up */
    is(rig, missing, OUTCOME_PASS, "28 under, muted");
    rig_stale(rig, PARAM_SEND_LEVEL, 1, 0);
    is(rig, missing, OUTCOME_NOT_KNOWN, "not known");
}

static void
muted_group_closes_what_follows_it(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    rig_set(rig, PARAM_INPUT_GROUP, 0, 0, 1);
    rig_set(rig, PARAM_GROUP_MUTE, 0, 0, 1);
    is(rig, missing, OUTCOME_FINDING, "before the fader");
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_POST_FADER);
    is(rig, missing, OUTCOME_CLOSED, "behind it");
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(filter_behind_the_tap_is_told),
        RIG_TEST(band_of_the_equaliser_is_a_high_pass),
        RIG_TEST(mix_filters_stand_in),
        RIG_TEST(low_filters_add_up),
        RIG_TEST(only_paths_that_matter_are_judged),
        RIG_TEST(other_inputs_move_the_line),
        RIG_TEST(muted_group_closes_what_follows_it),
    };

    return cmocka_run_group_tests_name("high_pass_path", tests, NULL, NULL);
}
