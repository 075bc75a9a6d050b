/* SPDX-License-Identifier: MIT */
/* The checks about what is open, lifted, unprotected or wrongly powered: thresholds, traps and
 * words. not_known.c takes every value they rest on away.
 */
#include "rig.h"
#include "unit.h"

#include <math.h>
#include <string.h>

/* Input 1 "Ld Vox" at 0 dB, pre-fader, into mix 1, a wedge. Mix 2 is an in-ear mix. */
static void
start(struct rig *rig)
{
    rig_start(rig, 12, 2);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ld Vox");
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Ld Vox wedge");
    rig_set_text(rig, PARAM_MIX_NAME, 1, "Drums IEM");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
}

static void
input_is(struct rig *rig, const char *check, enum outcome outcome)
{
    assert_row(check, rig_judge_input(rig, check, 0)->outcome, outcome);
}

static void
input_weighs(struct rig *rig, const char *check, enum weight weight)
{
    const struct verdict *verdict = rig_judge_input(rig, check, 0);

    assert_row(check, verdict->outcome, OUTCOME_FINDING);
    assert_row(check, verdict->weight, weight);
}

/* ---- boost-into-wedge ---- */

static void
boost(struct rig *rig, double gain_db)
{
    rig_set(rig, PARAM_INPUT_EQ_BAND_FREQ, 0, 0, 2511.886);
    rig_set(rig, PARAM_INPUT_EQ_BAND_GAIN, 0, 0, gain_db);
}

static void
boost_counts_where_it_reaches_a_loudspeaker(void **state)
{
    static const char check[] = "boost-into-wedge";
    struct rig *rig = *state;

    start(rig);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    boost(rig, 2.9);
    input_is(rig, check, OUTCOME_PASS);
    boost(rig, 3.01);
    input_weighs(rig, check, WEIGHT_NOTE);
    boost(rig, 9.01);
    input_weighs(rig, check, WEIGHT_FIX);
    assert_near(rig_figure(rig_judge_input(rig, check, 0), "boost_db"), 9.01, 0.01);
    assert_near(rig_figure(rig_judge_input(rig, check, 0), "at_hz"), 2511.886, 1);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_EQ); /* the boost does not lie in the path */
    input_is(rig, check, OUTCOME_CLOSED);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_FADER);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -HUGE_VAL);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 0); /* in-ears do not howl */
    input_is(rig, check, OUTCOME_NOT_ASKED);
}

static void
cuts_alone_are_no_boost(void **state)
{
    struct rig *rig = *state;

    start(rig);
    rig_set(rig, PARAM_INPUT_EQ_BAND_GAIN, 0, 0, -12);
    input_is(rig, "boost-into-wedge", OUTCOME_PASS);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 17, 4);
    assert_int_equal(rig_judge_mix(rig, "boost-into-wedge", 0)->outcome, OUTCOME_FINDING);
    rig_set(rig, PARAM_MIX_GRAPHIC_ON, 0, 0, 0);
    assert_int_equal(rig_judge_mix(rig, "boost-into-wedge", 0)->outcome, OUTCOME_PASS);
}

/* ---- make-up-into-wedge ---- */

static void
make_up_counts_while_the_compressor_is_on(void **state)
{
    static const char check[] = "make-up-into-wedge";
    struct rig *rig = *state;

    start(rig);
    rig_set(rig, PARAM_INPUT_COMP_MAKEUP, 0, 0, 8);
    input_is(rig, check, OUTCOME_PASS);
    rig_set(rig, PARAM_INPUT_COMP_ON, 0, 0, 1);
    input_weighs(rig, check, WEIGHT_FIX);
    rig_set(rig, PARAM_INPUT_COMP_MAKEUP, 0, 0, 5.9);
    input_weighs(rig, check, WEIGHT_NOTE);
    rig_set(rig, PARAM_INPUT_COMP_MAKEUP, 0, 0, 2.9);
    input_is(rig, check, OUTCOME_PASS);
    rig_set(rig, PARAM_INPUT_COMP_MAKEUP, 0, 0, 8);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_EQ);
    input_is(rig, check, OUTCOME_CLOSED);
}

/* ---- open-unused-input ---- */

static void
unused_inputs_are_closed(void **state)
{
    static const char check[] = "open-unused-input";
    struct rig *rig = *state;

    start(rig);
    input_is(rig, check, OUTCOME_PASS);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Spare");
    input_weighs(rig, check, WEIGHT_FIX);
    assert_contains(rig_words_input(rig, check, 0)->cure, "mute input 1");
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    input_is(rig, check, OUTCOME_PASS);
    start(rig);
    rig->show->inputs[0].source = SOURCE_UNUSED;
    input_weighs(rig, check, WEIGHT_FIX);
}

/* ---- ears-unprotected ---- */

static void
ears_need_a_limiter_that_limits(void **state)
{
    static const char check[] = "ears-unprotected";
    static const struct {
        const char *name;
        enum param_id id;
        double good, bad;
        const char *says;
    } rows[] = {
        {"off", PARAM_MIX_LIMITER_ON, 1, 0, "without a limiter"},
        {"ratio", PARAM_MIX_LIMITER_RATIO, 20, 19.9, "a ratio of 19.9:1"},
        {"threshold", PARAM_MIX_LIMITER_THRESHOLD, -0.1, 0, "starts at 0 dB"},
    };
    struct rig *rig = *state;

    for (size_t i = 0; i < 3; i++) {
        const struct verdict *verdict;

        start(rig);
        rig_set(rig, rows[i].id, 1, 0, rows[i].good);
        assert_row(rows[i].name, rig_judge_mix(rig, check, 1)->outcome, OUTCOME_PASS);
        rig_set(rig, rows[i].id, 1, 0, rows[i].bad);
        verdict = rig_judge_mix(rig, check, 1);
        assert_row(rows[i].name, verdict->outcome, OUTCOME_FINDING);
        assert_row(rows[i].name, verdict->weight, WEIGHT_STOP); /* always */
        assert_contains(rig->words.says, rows[i].says);
        assert_contains(rig->words.cure, "depends on the pack");
        assert_null(strstr(rig->words.cure, "safe")); /* it never says so */
    }
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_ASKED); /* the wedge */
    rig->show->mixes[1].limited_elsewhere = true;
    rig_remark(rig);
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_NOT_ASKED);
}

/* ---- phantom-mismatch ---- */

static void
phantom_follows_the_microphone(void **state)
{
    static const char check[] = "phantom-mismatch";
    static const struct {
        const char *label;
        enum microphone microphone;
        bool on;
        enum outcome outcome;
        enum weight weight;
    } rows[] = {
        {"OH L", MICROPHONE_UNKNOWN, false, OUTCOME_FINDING, WEIGHT_FIX},
        {"OH L", MICROPHONE_UNKNOWN, true, OUTCOME_PASS, WEIGHT_NOTE},
        {"Ld Vox", MICROPHONE_UNKNOWN, true, OUTCOME_NOT_ASKED, WEIGHT_NOTE},
        {"Playback L", MICROPHONE_UNKNOWN, true, OUTCOME_FINDING, WEIGHT_NOTE},
        {"Ld Vox", MICROPHONE_DYNAMIC, true, OUTCOME_FINDING, WEIGHT_NOTE},
        {"Ld Vox", MICROPHONE_CONDENSER, false, OUTCOME_FINDING, WEIGHT_FIX},
        {"OH L", MICROPHONE_RIBBON, false, OUTCOME_PASS, WEIGHT_NOTE},
        {"Bass DI", MICROPHONE_ACTIVE_DI, false, OUTCOME_FINDING, WEIGHT_FIX},
        {"Ch 7", MICROPHONE_LINE, false, OUTCOME_PASS, WEIGHT_NOTE},
    };
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct verdict *verdict;

        start(rig);
        rig->show->inputs[0].microphone = rows[i].microphone;
        rig_set_text(rig, PARAM_INPUT_NAME, 0, rows[i].label);
        rig_set(rig, PARAM_INPUT_PHANTOM, 0, 0, rows[i].on);
        verdict = rig_judge_input(rig, check, 0);
        assert_row(rows[i].label, verdict->outcome, rows[i].outcome);
        if (rows[i].outcome != OUTCOME_FINDING)
            continue;
        assert_row(rows[i].label, verdict->weight, rows[i].weight);
        assert_contains(rig->words.cure, rows[i].on ? "switch 48 V off" : "switch 48 V on");
        assert_contains(rig->words.cure, "mute input 1"); /* before switching */
    }
}

/* ---- input-hot, input-faint ---- */

static void
meters_have_two_ends(void **state)
{
    struct rig *rig = *state;

    start(rig);
    rig_set(rig, PARAM_INPUT_LEVEL, 0, 0, -6.1);
    input_is(rig, "input-hot", OUTCOME_PASS);
    rig_set(rig, PARAM_INPUT_LEVEL, 0, 0, -6);
    input_weighs(rig, "input-hot", WEIGHT_NOTE);
    rig_set(rig, PARAM_INPUT_LEVEL, 0, 0, -3);
    input_weighs(rig, "input-hot", WEIGHT_FIX);
    rig_set(rig, PARAM_INPUT_LEVEL, 0, 0, -44.9);
    input_is(rig, "input-faint", OUTCOME_PASS);
    rig_set(rig, PARAM_INPUT_LEVEL, 0, 0, -45);
    input_weighs(rig, "input-faint", WEIGHT_NOTE);
    rig_set(rig, PARAM_INPUT_LEVEL, 0, 0, -70); /* nobody plays */
    input_is(rig, "input-faint", OUTCOME_CLOSED);
    rig_set(rig, PARAM_INPUT_LEVEL, 0, 0, -50);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    input_is(rig, "input-faint", OUTCOME_CLOSED);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(boost_counts_where_it_reaches_a_loudspeaker),
        RIG_TEST(cuts_alone_are_no_boost),
        RIG_TEST(make_up_counts_while_the_compressor_is_on),
        RIG_TEST(unused_inputs_are_closed),
        RIG_TEST(ears_need_a_limiter_that_limits),
        RIG_TEST(phantom_follows_the_microphone),
        RIG_TEST(meters_have_two_ends),
    };

    return cmocka_run_group_tests_name("stage_checks", tests, NULL, NULL);
}
