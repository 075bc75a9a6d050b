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

/* Ratio 20:1 or more and fast attack: "IEM Limiters and Hearing Protection", iemrig.com; the other
 * limits are common practice, no source. What is taken off a peak at full scale is (0 - threshold)
 * (1 - 1 / ratio): -6 dB at 20:1 takes 5.7 dB off, at 10:1 5.4, at 2:1 3. */
static void
ears_need_a_limiter_that_limits(void **state)
{
    static const char check[] = "ears-unprotected";
    static const struct {
        const char *name;
        double on, threshold_db, ratio;
        enum outcome outcome;
        enum weight weight;
        const char *says;
    } rows[] = {
        {"as it should be", 1, -6, 20, OUTCOME_PASS, WEIGHT_NOTE, ""},
        {"far down", 1, -30, 100, OUTCOME_PASS, WEIGHT_NOTE, ""},
        {"off", 0, -6, 20, OUTCOME_FINDING, WEIGHT_STOP, "without a limiter"},
        {"19.9:1", 1, -6, 19.9, OUTCOME_FINDING, WEIGHT_NOTE, "at a ratio of 19.9:1 a peak 20 dB"},
        {"10:1", 1, -6, 10, OUTCOME_FINDING, WEIGHT_NOTE, "is still 2 dB above it"},
        {"9.9:1", 1, -6, 9.9, OUTCOME_FINDING, WEIGHT_FIX, "limits, but gives way"},
        {"2:1", 1, -6, 2, OUTCOME_FINDING, WEIGHT_FIX, "is still 10 dB above it"},
        {"1:1", 1, -6, 1, OUTCOME_FINDING, WEIGHT_STOP, "does nothing for these ears"},
        {"at full scale", 1, 0, 20, OUTCOME_FINDING, WEIGHT_STOP, "takes 0 dB off"},
        {"above it", 1, 4, 20, OUTCOME_FINDING, WEIGHT_STOP, "takes 0 dB off"},
        {"just below", 1, -0.1, 20, OUTCOME_FINDING, WEIGHT_STOP, "takes 0.1 dB off"},
        {"1 dB", 1, -1, 20, OUTCOME_FINDING, WEIGHT_STOP, "does nothing for these ears"},
        {"2 dB", 1, -2, 20, OUTCOME_FINDING, WEIGHT_FIX, "limits, but late: with a threshold"},
        {"3 dB", 1, -3, 20, OUTCOME_FINDING, WEIGHT_FIX, "takes 2.9 dB off the loudest"},
        {"3.2 dB", 1, -3.2, 20, OUTCOME_PASS, WEIGHT_NOTE, ""},
    };
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct verdict *verdict;

        start(rig);
        rig_set(rig, PARAM_MIX_LIMITER_ON, 1, 0, rows[i].on);
        rig_set(rig, PARAM_MIX_LIMITER_THRESHOLD, 1, 0, rows[i].threshold_db);
        rig_set(rig, PARAM_MIX_LIMITER_RATIO, 1, 0, rows[i].ratio);
        rig_set(rig, PARAM_MIX_LEVEL, 1, 0, -120); /* nobody plays */
        verdict = rig_judge_mix(rig, check, 1);
        assert_row(rows[i].name, verdict->outcome, rows[i].outcome);
        if (verdict->outcome != OUTCOME_FINDING)
            continue;
        assert_row(rows[i].name, verdict->weight, rows[i].weight);
        assert_contains(rig->words.says, rows[i].says);
        assert_contains(rig->words.cure, "turn the packs down first");
        assert_contains(rig->words.cure, "depends on the pack");
        assert_null(strstr(rig->words.says, "safe")); /* it never says so */
        assert_null(strstr(rig->words.cure, "safe"));
    }
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_ASKED); /* the wedge */
    rig_set(rig, PARAM_MIX_LIMITER_ON, 1, 0, 0);
    rig->show->mixes[1].limited_elsewhere = true;
    rig_remark(rig);
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_NOT_ASKED);
}

/* Where the limiter sits decides whether a master above 0 dB undoes it; one below 0 dB is no
 * protection, for it comes up in one move. Not told: not known, where it matters. */
static void
a_master_may_undo_the_limiter(void **state)
{
    static const struct {
        const char *name;
        enum limiter_place place;
        double threshold_db, master_db, trim_db;
        enum outcome outcome;
        enum weight weight;
    } rows[] = {
        {"before, at 0", LIMITER_BEFORE_MASTER, -6, 0, 0, OUTCOME_PASS, 0},
        {"before, 2 up", LIMITER_BEFORE_MASTER, -6, 2, 0, OUTCOME_PASS, 0},
        {"before, 3 up", LIMITER_BEFORE_MASTER, -6, 3, 0, OUTCOME_FINDING, WEIGHT_FIX},
        {"before, 6 up", LIMITER_BEFORE_MASTER, -6, 6, 0, OUTCOME_FINDING, WEIGHT_STOP},
        {"before, trim up", LIMITER_BEFORE_MASTER, -6, 0, 6, OUTCOME_FINDING, WEIGHT_STOP},
        {"before, low", LIMITER_BEFORE_MASTER, -0.1, -10, 0, OUTCOME_FINDING, WEIGHT_STOP},
        {"before, off", LIMITER_BEFORE_MASTER, -6, -HUGE_VAL, 0, OUTCOME_PASS, 0},
        {"after, 6 up", LIMITER_AFTER_MASTER, -6, 6, 0, OUTCOME_PASS, 0},
        {"not told, at 0", LIMITER_PLACE_UNKNOWN, -6, 0, 0, OUTCOME_PASS, 0},
        {"not told, low", LIMITER_PLACE_UNKNOWN, -6, -10, 0, OUTCOME_PASS, 0},
        {"not told, 2 up", LIMITER_PLACE_UNKNOWN, -6, 2, 0, OUTCOME_PASS, 0},
        {"not told, 6 up", LIMITER_PLACE_UNKNOWN, -6, 6, 0, OUTCOME_NOT_KNOWN, 0},
        {"not told, late anyway", LIMITER_PLACE_UNKNOWN, -2, 6, 0, OUTCOME_FINDING, WEIGHT_FIX},
    };
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct verdict *verdict;

        start(rig);
        desk_set_filters(rig->desk,
                         (struct desk_filters){.rate_hz = 48000, .limiter = rows[i].place});
        rig_set(rig, PARAM_MIX_LIMITER_THRESHOLD, 1, 0, rows[i].threshold_db);
        rig_set(rig, PARAM_MIX_FADER, 1, 0, rows[i].master_db);
        rig_set(rig, PARAM_MIX_TRIM, 1, 0, rows[i].trim_db);
        rig_set(rig, PARAM_MIX_LEVEL, 1, 0, -120); /* nobody plays */
        verdict = rig_judge_mix(rig, "ears-unprotected", 1);
        assert_row(rows[i].name, verdict->outcome, rows[i].outcome);
        if (verdict->outcome == OUTCOME_FINDING)
            assert_row(rows[i].name, verdict->weight, rows[i].weight);
        if (verdict->outcome == OUTCOME_NOT_KNOWN)
            assert_contains(rig->why, "where the limiter sits (\"filters.limiter\")");
    }
}

/* What the mix carries counts above -40 dB full scale: -18 and a limiter from -6 are 12 dB. */
static void
a_limiter_far_above_the_mix_is_late(void **state)
{
    static const char check[] = "ears-unprotected";
    struct rig *rig = *state;
    const struct verdict *verdict;

    start(rig);
    rig_set(rig, PARAM_MIX_LEVEL, 1, 0, -18);
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_MIX_LEVEL, 1, 0, -30);
    verdict = rig_judge_mix(rig, check, 1);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_NOTE);
    assert_near(rig_figure(verdict, "above_mix_db"), 24, 1e-9);
    assert_contains(rig->words.says,
                    "limits, but late: what is 24 dB louder than this mix carries");
    assert_contains(rig->words.says, "when it was read");
    rig_set(rig, PARAM_MIX_LEVEL, 1, 0, -41); /* nobody plays */
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_PASS);
    /* the meter stands behind the master: -30 there is -20 at a limiter before a master at -10 */
    desk_set_filters(rig->desk,
                     (struct desk_filters){.rate_hz = 48000, .limiter = LIMITER_BEFORE_MASTER});
    rig_set(rig, PARAM_MIX_LEVEL, 1, 0, -27);
    rig_set(rig, PARAM_MIX_FADER, 1, 0, -10);
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_PASS);
}

static void
a_slow_limiter_is_late(void **state)
{
    static const char check[] = "ears-unprotected";
    static const struct {
        enum param_id id;
        double good_ms, bad_ms;
        const char *says;
    } rows[] = {
        {PARAM_MIX_LIMITER_ATTACK, 5, 5.1, "limits, but late: its attack takes 5.1 ms"},
        {PARAM_MIX_LIMITER_RELEASE, 1000, 1500, "the limiter lets go only after 1500 ms"},
    };
    struct rig *rig = *state;

    for (size_t i = 0; i < 2; i++) {
        start(rig);
        rig_forget(rig, rows[i].id, SUPPLY_HEARD);
        rig_set(rig, rows[i].id, 1, 0, rows[i].good_ms);
        assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_PASS);
        rig_set(rig, rows[i].id, 1, 0, rows[i].bad_ms);
        assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_FINDING);
        assert_int_equal(rig->verdict.weight, WEIGHT_NOTE);
        assert_contains(rig->words.says, rows[i].says);
        /* without a limiter that does not matter */
        rig_set(rig, PARAM_MIX_LIMITER_ON, 1, 0, 0);
        assert_int_equal(rig_judge_mix(rig, check, 1)->weight, WEIGHT_STOP);
    }
}

/* Two ears are one finding, told at the worse one or else at the first; and alike they should be.
 */
static void
both_ears_are_judged_together(void **state)
{
    static const char check[] = "ears-unprotected";
    struct rig *rig = *state;
    double one_ear;

    start(rig);
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Drums IEM L");
    rig_set_text(rig, PARAM_MIX_NAME, 1, "Drums IEM R");
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_MIX_LIMITER_ON, 1, 0, 0); /* the good ear is no pass */
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FOLDED);
    assert_int_equal(rig_judge_mix(rig, check, 1)->weight, WEIGHT_STOP);
    assert_contains(rig->words.says, "one ear of two, the other is mix 1 Drums IEM L: an in-ear");
    assert_contains(rig->words.cure, "both ears alike");
    one_ear = rig->verdict.severity;
    rig_set(rig, PARAM_MIX_LIMITER_ON, 0, 0, 0);
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_FOLDED);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
    assert_contains(rig->words.says, "both ears, this mix and mix 2 Drums IEM R: an in-ear");
    assert_true(rig->verdict.severity >= one_ear + check_set_all.of[check_find(check)]->worse_step);
    rig_set(rig, PARAM_MIX_LIMITER_ON, 0, 0, 1);
    rig_set(rig, PARAM_MIX_LIMITER_ON, 1, 0, 1);
    rig_set(rig, PARAM_MIX_LIMITER_THRESHOLD, 1, 0, -9);
    assert_int_equal(rig_judge_mix(rig, check, 0)->weight, WEIGHT_NOTE);
    assert_contains(rig->words.says, "from -6 dB here, from -9 dB in mix 2 Drums IEM R");
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_FOLDED);
    rig_set(rig, PARAM_MIX_LIMITER_THRESHOLD, 1, 0, -7);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    /* one limited in the transmitter is judged there, the other here */
    rig_set(rig, PARAM_MIX_LIMITER_ON, 1, 0, 0);
    rig->show->mixes[0].limited_elsewhere = true;
    rig_remark(rig);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_ASKED);
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_FINDING);
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
        const char *says;
    } rows[] = {
        /* what a label suggests is something to ask */
        {"OH L", MICROPHONE_UNKNOWN, false, OUTCOME_FINDING, WEIGHT_NOTE,
         "an overhead usually has a condenser microphone"},
        {"OH L", MICROPHONE_UNKNOWN, true, OUTCOME_PASS, WEIGHT_NOTE, ""},
        {"Ld Vox", MICROPHONE_UNKNOWN, true, OUTCOME_NOT_ASKED, WEIGHT_NOTE, ""},
        {"Playback L", MICROPHONE_UNKNOWN, true, OUTCOME_FINDING, WEIGHT_NOTE,
         "a playback usually comes from a line output, which 48 V can damage"},
        {"Blues Harp", MICROPHONE_UNKNOWN, true, OUTCOME_FINDING, WEIGHT_NOTE,
         "a harmonica usually has a microphone that does not need it"},
        /* what the show file says is known */
        {"Ld Vox", MICROPHONE_DYNAMIC, true, OUTCOME_FINDING, WEIGHT_NOTE,
         "a dynamic microphone does not need it"},
        {"Ld Vox", MICROPHONE_CONDENSER, false, OUTCOME_FINDING, WEIGHT_FIX,
         "the condenser microphone is silent without it"},
        {"OH L", MICROPHONE_RIBBON, false, OUTCOME_PASS, WEIGHT_NOTE, ""},
        {"Bass DI", MICROPHONE_ACTIVE_DI, false, OUTCOME_FINDING, WEIGHT_FIX,
         "the active DI box is silent without it"},
        {"Ch 7", MICROPHONE_LINE, false, OUTCOME_PASS, WEIGHT_NOTE, ""},
        {"Ch 7", MICROPHONE_LINE, true, OUTCOME_FINDING, WEIGHT_FIX,
         "48 V is on at a line output, which it can damage"},
    };
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct verdict *verdict;
        bool guess = rows[i].microphone == MICROPHONE_UNKNOWN;

        start(rig);
        rig->show->inputs[0].microphone = rows[i].microphone;
        rig_set_text(rig, PARAM_INPUT_NAME, 0, rows[i].label);
        rig_set(rig, PARAM_INPUT_PHANTOM, 0, 0, rows[i].on);
        verdict = rig_judge_input(rig, check, 0);
        assert_row(rows[i].label, verdict->outcome, rows[i].outcome);
        if (rows[i].outcome != OUTCOME_FINDING)
            continue;
        assert_row(rows[i].label, verdict->weight, rows[i].weight);
        assert_contains(rig->words.says, rows[i].says);
        assert_contains(rig->words.cure, rows[i].on ? "switch 48 V off" : "switch 48 V on");
        assert_contains(rig->words.cure, "close input 1 first"); /* before switching */
        assert_contains(rig->words.cure, "Follow the device's instructions");
        assert_row(rows[i].label, strstr(rig->words.cure, "ask: ") != NULL, guess);
        assert_row(rows[i].label, strstr(rig->words.cure, "never onto a line output") != NULL,
                   !rows[i].on);
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
        RIG_TEST(a_master_may_undo_the_limiter),
        RIG_TEST(a_limiter_far_above_the_mix_is_late),
        RIG_TEST(a_slow_limiter_is_late),
        RIG_TEST(both_ears_are_judged_together),
        RIG_TEST(phantom_follows_the_microphone),
        RIG_TEST(meters_have_two_ends),
    };

    return cmocka_run_group_tests_name("stage_checks", tests, NULL, NULL);
}
