/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "rig.h"

static const char check[] = "master-off-unity";

static struct rig *
start(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 2, 2);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, -5);
    return rig;
}

/* Up is not down: what makes every path louder weighs one step more, fix at most. */
static void
distance_from_unity_is_judged_both_ways(void **state)
{
    static const struct {
        const char *name;
        double master_db;
        enum outcome outcome;
        enum weight weight;
    } rows[] = {
        {"unity", 0, OUTCOME_PASS, WEIGHT_NOTE},
        {"half a decibel under", -0.5, OUTCOME_PASS, WEIGHT_NOTE},
        {"half a decibel over", 0.5, OUTCOME_PASS, WEIGHT_NOTE},
        {"a little more under", -0.51, OUTCOME_FINDING, WEIGHT_NOTE},
        {"a little more over", 0.51, OUTCOME_FINDING, WEIGHT_FIX},
        {"six under", -6, OUTCOME_FINDING, WEIGHT_NOTE},
        {"six over", 6, OUTCOME_FINDING, WEIGHT_FIX},
        {"past six under", -6.01, OUTCOME_FINDING, WEIGHT_FIX},
        {"past six over", 6.01, OUTCOME_FINDING, WEIGHT_FIX},
        {"nearly down", -90, OUTCOME_FINDING, WEIGHT_FIX},
    };
    struct rig *rig = start(state);

    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct verdict *verdict;

        rig_set(rig, PARAM_MIX_FADER, 0, 0, rows[i].master_db);
        verdict = rig_judge_mix(rig, check, 0);
        assert_row(rows[i].name, verdict->outcome, rows[i].outcome);
        if (verdict->outcome != OUTCOME_FINDING)
            continue;
        assert_row(rows[i].name, verdict->weight, rows[i].weight);
        assert_near_in(rows[i].name, verdict->severity, fabs(rows[i].master_db), 0);
        assert_near_in(rows[i].name, rig_figure(verdict, "off_unity_db"), fabs(rows[i].master_db),
                       0);
        assert_near_in(rows[i].name, rig_figure(verdict, "master_db"), rows[i].master_db, 0);
        assert_int_equal(verdict->figure_count, 2);
    }
}

static void
words_say_which_way(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_MIX_FADER, 0, 0, -8);
    rig_judge_mix(rig, check, 0);
    assert_string_equal(rig->words.says,
                        "the master stands at -8 dB, so everything in the mix is 8 dB lower");
    /* a slip is only put back, and what makes up for another is the planner's */
    assert_string_equal(rig->words.cure,
                        "if a hand slipped, put the master back and move nothing else; if not, "
                        "`gainwarden retrim` says what to move so that nothing gets louder");
    rig_set(rig, PARAM_MIX_FADER, 0, 0, 2.5);
    rig_judge_mix(rig, check, 0);
    assert_contains(rig->words.says, "everything in the mix is 2.5 dB higher");
}

/* The cure moves master and sends the other way by as much: the gain of each path stays. */
static void
cure_leaves_every_path_as_it_was(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_MIX_FADER, 0, 0, -8);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, -5 - 8);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    /* -5 - 8 through the master before, -13 now */
    assert_near(
        rig_figure(rig_judge_input(rig, "unused-preamp-gain", 1), "loudest_after_preamp_db"), -13,
        1e-9);
}

/* Fully down is a fault only while something is sent into the mix. */
static void
master_fully_down_under_open_sends(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    rig_set(rig, PARAM_MIX_FADER, 0, 0, -HUGE_VAL);
    verdict = rig_judge_mix(rig, check, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_FIX);
    assert_string_equal(rig->words.says,
                        "the master is fully down although inputs are sent into the mix");
    assert_contains(rig->words.cure, "bring the master up slowly to 0 dB, a hand on it");
    rig_set(rig, PARAM_SEND_ON, 1, 0, 0);
    assert_int_not_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_PASS);
}

/* A master away from 0 dB waits for something to go through it; a muted group, and a group at off,
 * let nothing through. */
static void
master_that_nothing_reaches_is_closed(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_MIX_FADER, 0, 0, -8);
    rig_set(rig, PARAM_SEND_TAP, 1, 0, TAP_POST_FADER);
    rig_set(rig, PARAM_INPUT_GROUP, 1, 1, 1);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
    rig_set(rig, PARAM_GROUP_MUTE, 1, 0, 1);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_CLOSED);
    rig_set(rig, PARAM_GROUP_MUTE, 1, 0, 0);
    rig_set(rig, PARAM_GROUP_FADER, 1, 0, -HUGE_VAL);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_CLOSED);
    rig_set(rig, PARAM_GROUP_FADER, 1, 0, -20);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, -HUGE_VAL);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_CLOSED);
    /* what is not known any more may be open or not */
    rig_stale(rig, PARAM_SEND_LEVEL, 0, 0);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_KNOWN);
}

/* A desk that tells of its masters and of nothing else is told of them: its sends may well be open. */
static void
master_whose_sends_the_desk_never_tells(void **state)
{
    struct rig *rig = start(state);

    rig_forget(rig, PARAM_SEND_LEVEL, SUPPLY_HEARD);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -8);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
}

static void
post_fader_send_with_its_fader_down_is_not_open(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_MIX_FADER, 0, 0, -HUGE_VAL);
    rig_set(rig, PARAM_INPUT_FADER, 1, 0, -HUGE_VAL);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
    rig_set(rig, PARAM_SEND_TAP, 1, 0, TAP_POST_FADER);
    assert_int_not_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
}

/* One send known to be open settles it, whatever is not known of the others. */
static void
one_open_send_is_enough(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_MIX_FADER, 0, 0, -HUGE_VAL);
    rig_stale(rig, PARAM_SEND_LEVEL, 0, 0);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
    rig_set(rig, PARAM_SEND_ON, 1, 0, 0);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why, "send.level of input 1, mix 1 is stale");
}

static void
unused_mix_is_not_asked(void **state)
{
    struct rig *rig = start(state);

    rig->show->mixes[0].feeds = FEEDS_UNUSED;
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -20);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_ASKED);
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_PASS);
}

/* The kind of mix does not matter, and need not be known. */
static void
every_kind_of_mix_is_judged(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_MIX_FADER, 0, 0, -8);
    for (int feeds = FEEDS_UNKNOWN; feeds < FEEDS_UNUSED; feeds++) {
        rig->show->mixes[0].feeds = (enum feeds)feeds;
        rig_remark(rig);
        assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
        assert_false(rig->verdict.inferred);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(distance_from_unity_is_judged_both_ways),
        RIG_TEST(words_say_which_way),
        RIG_TEST(cure_leaves_every_path_as_it_was),
        RIG_TEST(master_fully_down_under_open_sends),
        RIG_TEST(master_that_nothing_reaches_is_closed),
        RIG_TEST(master_whose_sends_the_desk_never_tells),
        RIG_TEST(post_fader_send_with_its_fader_down_is_not_open),
        RIG_TEST(one_open_send_is_enough),
        RIG_TEST(unused_mix_is_not_asked),
        RIG_TEST(every_kind_of_mix_is_judged),
    };

    return cmocka_run_group_tests_name("master", tests, NULL, NULL);
}
