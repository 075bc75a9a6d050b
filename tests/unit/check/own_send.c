/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "desk/source.h"
#include "rig.h"

static const char check[] = "own-send-off-unity";

/* The show file names the player of input 1 and of mix 2; the check of the preamp is off, so that
 * this one tells all. */
static struct rig *
start(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 2, 3);
    strcpy(rig->show->inputs[0].player, "Lead Vocal");
    strcpy(rig->show->mixes[1].player, "lead vocal");
    rig->show->checks[CHECK_UNUSED_PREAMP_GAIN].off = true;
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -20);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 0);
    return rig;
}

static void
distance_from_unity_is_judged_both_ways(void **state)
{
    static const struct {
        const char *name;
        double send_db;
        enum outcome outcome;
    } rows[] = {
        {"unity", 0, OUTCOME_PASS},
        {"three under", -3, OUTCOME_PASS},
        {"three over", 3, OUTCOME_PASS},
        {"past three under", -3.01, OUTCOME_FINDING},
        {"past three over", 3.01, OUTCOME_FINDING},
        {"far under", -40, OUTCOME_FINDING},
    };
    struct rig *rig = start(state);

    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct verdict *verdict;

        rig_set(rig, PARAM_SEND_LEVEL, 0, 1, rows[i].send_db);
        verdict = rig_judge_input(rig, check, 0);
        assert_row(rows[i].name, verdict->outcome, rows[i].outcome);
        if (verdict->outcome != OUTCOME_FINDING)
            continue;
        assert_int_equal(verdict->weight, WEIGHT_NOTE);
        assert_int_equal(verdict->mix, 1);
        assert_false(verdict->inferred);
        assert_near_in(rows[i].name, verdict->severity, fabs(rows[i].send_db), 0);
        assert_near_in(rows[i].name, rig_figure(verdict, "off_unity_db"), fabs(rows[i].send_db), 0);
        assert_near_in(rows[i].name, rig_figure(verdict, "own_send_db"), rows[i].send_db, 0);
        assert_near_in(rows[i].name, rig_figure(verdict, "preamp_db"), 30, 0);
        assert_int_equal(verdict->figure_count, 3);
    }
}

static void
words_say_which_way(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -12);
    rig_judge_input(rig, check, 0);
    assert_string_equal(rig->words.says, "the player's own send into mix 2 Mix 2 stands at -12 dB");
    assert_string_equal(
        rig->words.cure,
        "if a hand slipped, put the send back and move nothing else; if not, `gainwarden retrim` "
        "says what to move so that nothing gets louder");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 5.5);
    rig_judge_input(rig, check, 0);
    assert_contains(rig->words.cure, "put the send back and move nothing else");
    assert_null(strstr(rig->words.cure, "preamp up"));
}

/* What came down since the desk was approved is the send, and the preamp is as good as it was. */
static void
own_send_that_slipped_is_told_in_place_of_the_preamp(void **state)
{
    static const char preamp[] = "unused-preamp-gain";
    struct rig *rig = start(state);

    rig->show->checks[CHECK_UNUSED_PREAMP_GAIN].off = false;
    rig_remark(rig);
    engine_set_approved(rig->engine, desk_copy(rig->desk));
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -26);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FINDING);
    assert_int_equal(rig_judge_input(rig, preamp, 0)->outcome, OUTCOME_FOLDED);
    /* the preamp moved, too: it carries what nothing uses */
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 40);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FOLDED);
    assert_int_equal(rig_judge_input(rig, preamp, 0)->outcome, OUTCOME_FINDING);
    /* so low it was approved */
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 30);
    engine_set_approved(rig->engine, desk_copy(rig->desk));
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FOLDED);
    assert_int_equal(rig_judge_input(rig, preamp, 0)->outcome, OUTCOME_FINDING);
}

static void
own_send_that_is_off_is_said_in_words(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -HUGE_VAL);
    verdict = rig_judge_input(rig, check, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_string_equal(rig->words.says, "the player's own send into mix 2 Mix 2 stands at off");
    assert_contains(rig->words.cure,
                    "the player does not hear this input: bring the send up slowly");
    assert_near(rig_figure(verdict, "preamp_db"), 30, 0);
    assert_int_equal(verdict->figure_count, 1); /* no level of a send that is off */
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 0);
    rig_set(rig, PARAM_SEND_ON, 0, 1, 0);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FINDING);
}

/* A player with two mixes: the send farther from unity is the one to look at. */
static void
of_two_own_mixes_the_farther_counts(void **state)
{
    struct rig *rig = start(state);

    strcpy(rig->show->mixes[2].player, "LEAD VOCAL");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -4);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 2, 6);
    assert_near(rig_judge_input(rig, check, 0)->severity, 6, 0);
    assert_int_equal(rig->verdict.mix, 2);
}

static void
show_without_a_player_or_his_mix_is_not_asked(void **state)
{
    struct rig *rig = start(state);

    assert_int_equal(rig_judge_input(rig, check, 1)->outcome, OUTCOME_NOT_ASKED);
    strcpy(rig->show->inputs[1].player, "drums");
    rig_remark(rig);
    assert_int_equal(rig_judge_input(rig, check, 1)->outcome, OUTCOME_NOT_ASKED);
}

/* Without a show file the loudest open send stands in, and it is said so. */
static void
loudest_send_stands_in_without_a_show(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    rig->show->mixes[1].player[0] = '\0'; /* one without the other is no more than none */
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -7);
    verdict = rig_judge_input(rig, check, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_true(verdict->inferred);
    assert_int_equal(verdict->mix, 1);
    assert_near(verdict->severity, 7, 0);
    assert_string_equal(rig->words.says,
                        "the send that was taken for the player's own, into mix 2 Mix 2 "
                        "stands at -7 dB");
    assert_int_equal(rig_judge_input(rig, check, 1)->outcome, OUTCOME_NOT_ASKED); /* all off */
}

/* "Ld Vox wedge" is the mix of "Ld Vox": its send is the own one, however loud the others are. */
static void
label_tells_whose_mix_it_is(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    rig->show->inputs[0].player[0] = rig->show->mixes[1].player[0] = '\0';
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ld Vox");
    rig_set_text(rig, PARAM_MIX_NAME, 1, "LD VOX wedge");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -8);
    verdict = rig_judge_input(rig, check, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_true(verdict->inferred);
    assert_int_equal(verdict->mix, 1);
    assert_near(verdict->severity, 8, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 0);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_PASS);
    /* a label alone does not make a send that is off the own one */
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -HUGE_VAL);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_PASS);
    rig_set_text(rig, PARAM_MIX_NAME, 1, "Ld Vox 2 wedge"); /* another one's */
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -8);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_PASS);
}

/* Without players nothing vanishes: what is not known is said to be. */
static void
without_players_unknown_sends_are_not_known(void **state)
{
    struct rig *rig = start(state);

    rig->show->mixes[1].player[0] = '\0';
    rig_forget(rig, PARAM_SEND_LEVEL, SUPPLY_HEARD);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_NOT_KNOWN);
    assert_int_equal(rig_judge_input(rig, check, 1)->outcome, OUTCOME_NOT_KNOWN);
}

/* A post-fader send whose fader or group is down or muted is closed, not judged. */
static void
dead_own_send_is_closed(void **state)
{
    static const struct {
        const char *name;
        enum param_id id;
        double dead, alive;
    } rows[] = {{"fader", PARAM_INPUT_FADER, -HUGE_VAL, 0},
                {"group fader", PARAM_GROUP_FADER, -HUGE_VAL, 0},
                {"group mute", PARAM_GROUP_MUTE, 1, 0}};
    struct rig *rig = start(state);

    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -8);
    rig_set(rig, PARAM_SEND_TAP, 0, 1, TAP_POST_FADER);
    rig_set(rig, PARAM_INPUT_GROUP, 0, 0, 1);
    for (size_t i = 0; i < COUNT(rows); i++) {
        rig_set(rig, rows[i].id, 0, 0, rows[i].dead);
        assert_row(rows[i].name, rig_judge_input(rig, check, 0)->outcome, OUTCOME_CLOSED);
        rig_set(rig, rows[i].id, 0, 0, rows[i].alive);
        assert_row(rows[i].name, rig_judge_input(rig, check, 0)->outcome, OUTCOME_FINDING);
    }
    rig_set(rig, PARAM_SEND_TAP, 0, 1, TAP_PRE_FADER); /* which follows neither */
    rig_set(rig, PARAM_GROUP_MUTE, 0, 0, 1);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FINDING);
}

/* A send into a mix whose master is down leads nowhere and is not the loudest. */
static void
closed_path_is_not_the_loudest(void **state)
{
    struct rig *rig = start(state);

    rig->show->inputs[0].player[0] = '\0';
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 8);
    rig_set(rig, PARAM_MIX_FADER, 1, 0, -HUGE_VAL);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FINDING);
    assert_int_equal(rig->verdict.mix, 0);
}

/* Low because the preamp is high: one cause, told by unused-preamp-gain. */
static void
low_send_under_a_high_preamp_is_folded(void **state)
{
    struct rig *rig = start(state);

    rig->show->checks[CHECK_UNUSED_PREAMP_GAIN].off = false;
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -6);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FOLDED);
    assert_int_equal(rig_judge_input(rig, "unused-preamp-gain", 0)->outcome, OUTCOME_FINDING);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -5.9); /* the other check passes now */
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FINDING);
    assert_int_equal(rig_judge_input(rig, "unused-preamp-gain", 0)->outcome, OUTCOME_PASS);
}

/* What is folded away must be told by the other: here that one is itself folded under the masters.
 */
static void
folding_ends_in_a_finding(void **state)
{
    struct rig *rig = start(state);

    rig->show->checks[CHECK_UNUSED_PREAMP_GAIN].off = false;
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -8);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -40);
    assert_int_equal(rig_judge_input(rig, "unused-preamp-gain", 0)->outcome, OUTCOME_FOLDED);
    assert_int_equal(rig_judge_mix(rig, "master-off-unity", 0)->outcome, OUTCOME_FINDING);
    /* the master of mix 1 does not explain an own send of -40 dB into mix 2 */
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FINDING);
}

static void
high_send_is_never_folded(void **state)
{
    struct rig *rig = start(state);

    rig->show->checks[CHECK_UNUSED_PREAMP_GAIN].off = false;
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 6);
    rig_set(rig, PARAM_MIX_FADER, 1, 0, -20);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_FINDING);
}

static void
muted_and_unused_inputs_are_left_alone(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -12);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_CLOSED);
    rig->show->inputs[0].source = SOURCE_UNUSED;
    rig_remark(rig);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_NOT_ASKED);
}

/* Nothing is asked of an input that nothing is plugged into, so that nothing can be unknown of it.
 */
static void
unused_input_with_an_unknown_mute_is_not_asked(void **state)
{
    struct rig *rig = start(state);

    rig->show->inputs[0].source = SOURCE_UNUSED;
    rig_forget(rig, PARAM_INPUT_MUTE, SUPPLY_HEARD);
    assert_int_equal(rig_judge_input(rig, "unused-preamp-gain", 0)->outcome, OUTCOME_NOT_ASKED);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_NOT_ASKED);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(distance_from_unity_is_judged_both_ways),
        RIG_TEST(words_say_which_way),
        RIG_TEST(own_send_that_slipped_is_told_in_place_of_the_preamp),
        RIG_TEST(own_send_that_is_off_is_said_in_words),
        RIG_TEST(of_two_own_mixes_the_farther_counts),
        RIG_TEST(show_without_a_player_or_his_mix_is_not_asked),
        RIG_TEST(loudest_send_stands_in_without_a_show),
        RIG_TEST(label_tells_whose_mix_it_is),
        RIG_TEST(without_players_unknown_sends_are_not_known),
        RIG_TEST(dead_own_send_is_closed),
        RIG_TEST(closed_path_is_not_the_loudest),
        RIG_TEST(low_send_under_a_high_preamp_is_folded),
        RIG_TEST(folding_ends_in_a_finding),
        RIG_TEST(high_send_is_never_folded),
        RIG_TEST(muted_and_unused_inputs_are_left_alone),
        RIG_TEST(unused_input_with_an_unknown_mute_is_not_asked),
    };

    return cmocka_run_group_tests_name("own_send", tests, NULL, NULL);
}
