/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "desk/source.h"
#include "rig.h"

static const char check[] = "unused-preamp-gain";

/* One input at 42 dB of preamp gain into mix 1 of two; preamps travel from -6 to 60 dB, sends to
 * +10. */
static struct rig *
start(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 2, 2);
    rig->show->role = ROLE_MONITOR;
    desk_set_travel(rig->desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){-6, 60});
    desk_set_travel(rig->desk, PARAM_SEND_LEVEL, (struct travel){-60, 10});
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -14);
    return rig;
}

/* One path, each row with its parts, and what comes out. */
static const struct row {
    const char *name;
    double preamp, send, trim, fader, master, mix_trim;
    enum tap tap;
    enum outcome outcome;
    enum weight weight;
    double surplus;
} rows[] = {
    {"unity", 42, 0, 0, 0, 0, 0, TAP_PRE_FADER, OUTCOME_PASS, WEIGHT_NOTE, 0},
    {"above unity", 42, 6, 0, 0, 0, 0, TAP_PRE_FADER, OUTCOME_PASS, WEIGHT_NOTE, 0},
    {"just under a note", 42, -5.99, 0, 0, 0, 0, TAP_PRE_FADER, OUTCOME_PASS, WEIGHT_NOTE, 0},
    {"a note", 42, -6, 0, 0, 0, 0, TAP_PRE_FADER, OUTCOME_FINDING, WEIGHT_NOTE, 6},
    {"just under a fix", 42, -11.99, 0, 0, 0, 0, TAP_PRE_FADER, OUTCOME_FINDING, WEIGHT_NOTE,
     11.99},
    {"a fix", 42, -12, 0, 0, 0, 0, TAP_PRE_FADER, OUTCOME_FINDING, WEIGHT_FIX, 12},
    {"trim takes away", 42, 0, -7, 0, 0, 0, TAP_PRE_FADER, OUTCOME_FINDING, WEIGHT_NOTE, 7},
    {"trim gives back", 42, -14, 9, 0, 0, 0, TAP_PRE_FADER, OUTCOME_PASS, WEIGHT_NOTE, 0},
    {"master adds to the send", 42, -8, 0, 0, -8, 0, TAP_PRE_FADER, OUTCOME_FINDING, WEIGHT_FIX,
     16},
    {"master above unity", 42, -14, 0, 0, 6, 0, TAP_PRE_FADER, OUTCOME_FINDING, WEIGHT_NOTE, 8},
    {"mix trim adds to the send", 42, -8, 0, 0, 0, -3, TAP_PRE_FADER, OUTCOME_FINDING, WEIGHT_NOTE,
     11},
    {"fader before the tap", 42, 0, 0, -20, 0, 0, TAP_PRE_FADER, OUTCOME_PASS, WEIGHT_NOTE, 0},
    {"fader before a pre-eq tap", 42, 0, 0, -20, 0, 0, TAP_PRE_EQ, OUTCOME_PASS, WEIGHT_NOTE, 0},
    {"fader behind the tap", 42, 0, 0, -20, 0, 0, TAP_POST_FADER, OUTCOME_FINDING, WEIGHT_FIX, 20},
    {"fader pushed", 42, -14, 0, 10, 0, 0, TAP_POST_FADER, OUTCOME_PASS, WEIGHT_NOTE, 0},
    {"all of them", 42, -3, -2, -2, -1, -1, TAP_POST_FADER, OUTCOME_FINDING, WEIGHT_NOTE, 9},
    {"preamp near its floor", 2, -20, 0, 0, 0, 0, TAP_PRE_FADER, OUTCOME_FINDING, WEIGHT_NOTE, 8},
    {"preamp too near its floor", -0.5, -20, 0, 0, 0, 0, TAP_PRE_FADER, OUTCOME_PASS, WEIGHT_NOTE,
     0},
    {"preamp at its floor", -6, -40, 0, 0, 0, 0, TAP_PRE_FADER, OUTCOME_PASS, WEIGHT_NOTE, 0},
    {"master's fault", 42, 0, 0, 0, -8, 0, TAP_PRE_FADER, OUTCOME_FOLDED, WEIGHT_NOTE, 8},
    {"just the master's fault", 42, -5.99, 0, 0, -8, 0, TAP_PRE_FADER, OUTCOME_FOLDED, WEIGHT_NOTE,
     13.99},
    {"send off", 42, -HUGE_VAL, 0, 0, 0, 0, TAP_PRE_FADER, OUTCOME_CLOSED, WEIGHT_NOTE, 0},
    {"master off", 42, -14, 0, 0, -HUGE_VAL, 0, TAP_PRE_FADER, OUTCOME_CLOSED, WEIGHT_NOTE, 0},
    {"fader off behind the tap", 42, -14, 0, -HUGE_VAL, 0, 0, TAP_POST_FADER, OUTCOME_CLOSED,
     WEIGHT_NOTE, 0},
    {"fader off before the tap", 42, -14, 0, -HUGE_VAL, 0, 0, TAP_PRE_FADER, OUTCOME_FINDING,
     WEIGHT_FIX, 14},
};

static void
set_row(struct rig *rig, const struct row *row)
{
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, row->preamp);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, row->send);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, row->tap);
    rig_set(rig, PARAM_INPUT_TRIM, 0, 0, row->trim);
    rig_set(rig, PARAM_INPUT_FADER, 0, 0, row->fader);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, row->master);
    rig_set(rig, PARAM_MIX_TRIM, 0, 0, row->mix_trim);
}

static void
every_part_of_the_path_counts(void **state)
{
    struct rig *rig = start(state);

    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct verdict *verdict;

        set_row(rig, &rows[i]);
        verdict = rig_judge_input(rig, check, 0);
        assert_row(rows[i].name, verdict->outcome, rows[i].outcome);
        if (rows[i].outcome != OUTCOME_FINDING)
            continue;
        assert_row(rows[i].name, verdict->weight, rows[i].weight);
        assert_near_in(rows[i].name, verdict->severity, rows[i].surplus, 1e-9);
        assert_near_in(rows[i].name, rig_figure(verdict, "surplus_db"), rows[i].surplus, 1e-9);
    }
}

/* A mix whose trim alone is down is told by no other check, so it may not be folded under the
 * masters. */
static void
mix_trim_alone_is_told(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(rig, PARAM_MIX_TRIM, 0, 0, -15);
    assert_int_equal(rig_judge_mix(rig, "master-off-unity", 0)->outcome, OUTCOME_PASS);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FINDING);
}

/* With its check off, master-off-unity tells nothing, so nothing is folded under it. */
static void
masters_fault_is_told_when_masters_are_not_checked(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    rig->show->checks[CHECK_MASTER_OFF_UNITY].off = true;
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -8);
    verdict = rig_judge_input(rig, check, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_near(verdict->severity, 8, 1e-9);
}

static void
loudest_send_counts(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -9);
    verdict = rig_judge_input(rig, check, 0);
    assert_near(verdict->severity, 9, 1e-9);
    assert_int_equal(verdict->mix, 1);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 0);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_PASS);
}

static void
switched_off_send_does_not_count(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 0);
    rig_set(rig, PARAM_SEND_ON, 0, 1, 0);
    assert_near(rig_judge_input(rig, check, 0)->severity, 14, 1e-9);
    rig_set(rig, PARAM_SEND_ON, 0, 0, 0);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_CLOSED);
}

/* Seen once, the finding stays where it is while the input is muted. */
static void
muted_input_is_closed(void **state)
{
    struct rig *rig = start(state);

    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FINDING);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_CLOSED);
    assert_int_equal(rig_told(rig, check, EVENT_CLEARED), 0);
    assert_true(rig_finding(rig, check, 0, -1)->life.frozen);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 0);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FINDING);
    assert_int_equal(rig_told(rig, check, EVENT_RAISED), 0);
}

static void
unused_input_is_not_asked(void **state)
{
    struct rig *rig = start(state);

    rig->show->inputs[0].source = SOURCE_UNUSED;
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_NOT_ASKED);
}

/* Sets both inputs of the rig on one preamp, the second with the louder send. */
static void
share_a_preamp(struct rig *rig)
{
    rig_forget(rig, PARAM_INPUT_PREAMP, SUPPLY_HEARD);
    rig_set(rig, PARAM_INPUT_PREAMP, 0, 0, 7);
    rig_set(rig, PARAM_INPUT_PREAMP, 1, 0, 7);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 42);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -20);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 1, -8);
}

/* One microphone on two channels: told once, with the loudest of all its sends. */
static void
doubled_channel_is_told_once(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    share_a_preamp(rig);
    verdict = rig_judge_input(rig, check, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_near(verdict->severity, 8, 1e-9);
    assert_int_equal(verdict->mix, 1);
    assert_int_equal(rig_told(rig, check, EVENT_RAISED), 1);
    assert_int_equal(rig_judge_input(rig, check, 1)->outcome, OUTCOME_FOLDED);
}

/* The send of the other channel is what this one's finding rests on. */
static void
doubled_channel_follows_the_other(void **state)
{
    struct rig *rig = start(state);

    share_a_preamp(rig);
    assert_near(rig_judge_input(rig, check, 0)->severity, 8, 1e-9);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 1, 0);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_PASS);
    assert_int_equal(rig_told(rig, check, EVENT_CLEARED), 1);
    rig_set(rig, PARAM_INPUT_MUTE, 1, 0, 1);
    assert_near(rig_judge_input(rig, check, 0)->severity, 20, 1e-9);
    assert_int_equal(rig_judge_input(rig, check, 1)->outcome, OUTCOME_CLOSED);
}

/* Muting the channel on which it was told is no news: the fault is the one that was told. */
static void
mute_of_a_doubled_channel_is_no_news(void **state)
{
    struct rig *rig = start(state);

    share_a_preamp(rig);
    rig_run(rig);
    assert_int_equal(rig_told(rig, check, EVENT_RAISED), 1);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    rig_run(rig);
    assert_int_equal(rig_told(rig, check, EVENT_RAISED), 0);
}

static void
unknown_preamp_of_any_input_is_not_known(void **state)
{
    struct rig *rig = start(state);

    rig_forget(rig, PARAM_INPUT_PREAMP, SUPPLY_HEARD);
    rig_set(rig, PARAM_INPUT_PREAMP, 0, 0, 1);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why, "input.preamp of input 2 was never heard");
}

static void
figures_and_words_are_the_numbers(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict = rig_judge_input(rig, check, 0);

    assert_near(rig_figure(verdict, "surplus_db"), 14, 1e-9);
    assert_near(rig_figure(verdict, "preamp_db"), 42, 1e-9);
    assert_near(rig_figure(verdict, "preamp_after_db"), 28, 1e-9);
    assert_near(rig_figure(verdict, "loudest_send_db"), -14, 1e-9);
    assert_near(rig_figure(verdict, "loudest_after_preamp_db"), -14, 1e-9);
    assert_near(rig_figure(verdict, "headroom_regained_db"), 14, 1e-9);
    assert_near(rig_figure(verdict, "send_to_top_raises_db"), 24, 1e-9);
    assert_near(rig_figure(verdict, "send_to_top_raises_after_db"), 10, 1e-9);
    assert_near(rig_figure(verdict, "lowest_preamp_db"), -6, 1e-9);
    assert_int_equal(verdict->figure_count, 9);
    assert_string_equal(
        rig->words.says,
        "preamp at 42 dB, but its loudest send turns it down again to -14 dB (send -14 "
        "dB): 14 dB of preamp gain is not used. If that send slips to its top, "
        "the path gets 24 dB louder today, 10 dB after the re-trim");
    assert_string_equal(rig->words.cure,
                        "`gainwarden retrim` lists the moves that give it back and leave every "
                        "path as loud as it is, or says what stops them");
    assert_false(verdict->inferred);
}

/* No end stop is invented: what needs one is left out, and the rest is told as before. */
static void
ends_that_are_not_told_leave_their_figures_out(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    desk_set_travel(rig->desk, PARAM_SEND_LEVEL, (struct travel){NAN, NAN});
    verdict = rig_judge_input(rig, check, 0);
    assert_true(isnan(verdict_figure(verdict, "send_to_top_raises_db")));
    assert_true(isnan(verdict_figure(verdict, "send_to_top_raises_after_db")));
    assert_null(strstr(rig->words.says, "slips"));
    rig = start(state);
    desk_set_travel(rig->desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){NAN, NAN});
    verdict = rig_judge_input(rig, check, 0);
    assert_near(rig_figure(verdict, "surplus_db"), 14, 1e-9);
    assert_near(rig_figure(verdict, "send_to_top_raises_db"), 24, 1e-9);
    assert_true(isnan(verdict_figure(verdict, "send_to_top_raises_after_db")));
    assert_true(isnan(verdict_figure(verdict, "preamp_after_db")));
    assert_true(isnan(verdict_figure(verdict, "headroom_regained_db")));
    assert_true(isnan(verdict_figure(verdict, "lowest_preamp_db")));
    assert_contains(rig->words.says, "the path gets 24 dB louder today");
    assert_null(strstr(rig->words.says, "re-trim"));
    /* what a preamp adds is all that it can give back as far as is known */
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 10);
    assert_near(rig_judge_input(rig, check, 0)->severity, 10, 1e-9);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 0);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_PASS);
}

/* Moving the surplus leaves the gain of the path as it was: that is what the report promises. */
static void
cure_leaves_the_path_gain_as_it_was(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict = rig_judge_input(rig, check, 0);
    double before = 42 + -14;
    double up = rig_figure(verdict, "surplus_db");

    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, rig_figure(verdict, "preamp_after_db"));
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -14 + up);
    assert_near(value_last_heard(desk_value(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0)) +
                    value_last_heard(desk_value(rig->desk, PARAM_SEND_LEVEL, 0, 0)),
                before, 1e-9);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_PASS);
    assert_int_equal(rig_told(rig, check, EVENT_CLEARED), 1);
}

static void
parts_of_the_loudest_path_are_named(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -8);
    rig_set(rig, PARAM_INPUT_TRIM, 0, 0, -8);
    assert_contains(rig_words_input(rig, check, 0)->says, "to -16 dB (trim -8 dB, send -8 dB)");
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(every_part_of_the_path_counts),
        RIG_TEST(mix_trim_alone_is_told),
        RIG_TEST(masters_fault_is_told_when_masters_are_not_checked),
        RIG_TEST(loudest_send_counts),
        RIG_TEST(switched_off_send_does_not_count),
        RIG_TEST(muted_input_is_closed),
        RIG_TEST(unused_input_is_not_asked),
        RIG_TEST(doubled_channel_is_told_once),
        RIG_TEST(doubled_channel_follows_the_other),
        RIG_TEST(mute_of_a_doubled_channel_is_no_news),
        RIG_TEST(unknown_preamp_of_any_input_is_not_known),
        RIG_TEST(figures_and_words_are_the_numbers),
        RIG_TEST(ends_that_are_not_told_leave_their_figures_out),
        RIG_TEST(cure_leaves_the_path_gain_as_it_was),
        RIG_TEST(parts_of_the_loudest_path_are_named),
    };

    return cmocka_run_group_tests_name("unused_preamp_gain", tests, NULL, NULL);
}
