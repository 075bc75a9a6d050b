/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "rig.h"

static const char check[] = "send-follows-fader";

/* Two open sends into mix 1: input 1 behind its fader, input 2 before it. */
static struct rig *
start(void **state, enum role role)
{
    struct rig *rig = *state;

    rig_start(rig, 3, 2);
    rig->show->role = role;
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_POST_FADER);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, 0);
    return rig;
}

static void
house_desk_should_be_fixed(void **state)
{
    struct rig *rig = start(state, ROLE_HOUSE);
    const struct verdict *verdict = rig_judge_mix(rig, check, 0);

    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_FIX);
    assert_near(verdict->severity, 1, 0);
    assert_near(rig_figure(verdict, "sends_count"), 1, 0);
    assert_string_equal(
        rig->words.says,
        "1 send into the mix follows the house fader, so that every move in the house "
        "moves the monitor: input 1 Line 1");
    assert_string_equal(rig->words.cure,
                        "switch these sends to pre-fader, each at its present level plus its "
                        "fader; set that level first where it is lower, after the switch where it "
                        "is higher");
    assert_int_equal(rig_judge_mix(rig, check, 1)->outcome, OUTCOME_PASS);
    /* with the role known, the desk as a whole has nothing to be told */
    assert_int_equal(rig_judge_desk(rig, check)->outcome, OUTCOME_NOT_ASKED);
}

static void
house_desk_counts_and_lists(void **state)
{
    struct rig *rig = start(state, ROLE_HOUSE);

    rig_set(rig, PARAM_SEND_TAP, 1, 0, TAP_POST_FADER);
    assert_contains(rig_words_mix(rig, check, 0)->says,
                    "2 sends into the mix follow the house fader, so that every move in the house "
                    "moves the monitor: input 1 Line 1, 2 Line 2");
    assert_near(rig->verdict.severity, 2, 0);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_EQ);
    rig_set(rig, PARAM_SEND_TAP, 1, 0, TAP_PRE_FADER);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
}

static void
closed_sends_do_not_count(void **state)
{
    struct rig *rig = start(state, ROLE_HOUSE);

    rig_set(rig, PARAM_SEND_ON, 0, 0, 0);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_SEND_ON, 0, 0, 1);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -HUGE_VAL);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
}

/* A technique while the fader is parked at 0 dB; half a decibel is parked. */
static void
monitor_desk_minds_only_moved_faders(void **state)
{
    static const struct {
        double fader_db;
        enum outcome outcome;
    } rows[] = {
        {0, OUTCOME_PASS},           {-0.5, OUTCOME_PASS},     {0.5, OUTCOME_PASS},
        {-HUGE_VAL, OUTCOME_CLOSED}, {-0.51, OUTCOME_FINDING}, {0.51, OUTCOME_FINDING},
    };
    struct rig *rig = start(state, ROLE_MONITOR);

    for (size_t i = 0; i < COUNT(rows); i++) {
        rig_set(rig, PARAM_INPUT_FADER, 0, 0, rows[i].fader_db);
        assert_row("fader", rig_judge_mix(rig, check, 0)->outcome, rows[i].outcome);
        if (rows[i].outcome == OUTCOME_FINDING)
            assert_int_equal(rig->verdict.weight, WEIGHT_NOTE);
    }
    assert_string_equal(rig->words.says, "1 send into the mix follows a fader that is not at 0 dB: "
                                         "input 1 Line 1");
    assert_string_equal(rig->words.cure,
                        "park the faders at 0 dB and move the sends the other way by as much, what "
                        "goes down first; or switch the sends to pre-fader at their present level "
                        "plus the fader");
}

/* The group moves what the fader moves. */
static void
groups_are_followed_as_well(void **state)
{
    struct rig *rig = start(state, ROLE_MONITOR);

    rig_set(rig, PARAM_INPUT_GROUP, 0, 1, 1);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_GROUP_FADER, 1, 0, -6);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
    assert_near(rig_figure(&rig->verdict, "its_fader_db"), -6, 0);
    rig_set(rig, PARAM_INPUT_FADER, 0, 0, 6); /* together they stand at 0 dB */
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
}

/* What hangs on a fader or group that is down or muted is closed, whosever desk it is. */
static void
dead_sends_are_closed(void **state)
{
    static const struct {
        const char *name;
        enum param_id id;
        double dead, alive;
    } rows[] = {{"fader", PARAM_INPUT_FADER, -HUGE_VAL, -3},
                {"group fader", PARAM_GROUP_FADER, -HUGE_VAL, -3},
                {"group mute", PARAM_GROUP_MUTE, 1, 0}};
    static const enum role roles[] = {ROLE_HOUSE, ROLE_MONITOR, ROLE_UNKNOWN};

    for (size_t i = 0; i < COUNT(rows) * COUNT(roles); i++) {
        enum role role = roles[i / COUNT(rows)];
        struct rig *rig = start(state, role);
        size_t row = i % COUNT(rows);

        rig_set(rig, PARAM_INPUT_GROUP, 0, 0, 1);
        rig_set(rig, PARAM_INPUT_FADER, 0, 0, -3); /* one that a monitor desk minds */
        for (int dead = 1; dead >= 0; dead--) {
            rig_set(rig, rows[row].id, 0, 0, dead ? rows[row].dead : rows[row].alive);
            assert_row(
                rows[row].name,
                (role == ROLE_UNKNOWN ? rig_judge_desk(rig, check) : rig_judge_mix(rig, check, 0))
                    ->outcome,
                dead ? OUTCOME_CLOSED : OUTCOME_FINDING);
        }
    }
}

static void
monitor_desk_ignores_faders_of_pre_fader_sends(void **state)
{
    struct rig *rig = start(state, ROLE_MONITOR);

    rig_set(rig, PARAM_INPUT_FADER, 1, 0, -20);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
}

/* Whose desk it is was not said: one note for all sends of all mixes. */
static void
unsaid_role_is_told_once(void **state)
{
    struct rig *rig = start(state, ROLE_UNKNOWN);
    const struct verdict *verdict;

    rig_set(rig, PARAM_SEND_LEVEL, 2, 0, -3);
    rig_set(rig, PARAM_SEND_TAP, 2, 0, TAP_POST_FADER);
    rig_set(rig, PARAM_SEND_LEVEL, 2, 1, -3);
    rig_set(rig, PARAM_SEND_TAP, 2, 1, TAP_POST_FADER);
    verdict = rig_judge_desk(rig, check);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_NOTE);
    assert_near(rig_figure(verdict, "sends_count"), 3, 0);
    assert_near(rig_figure(verdict, "mixes_count"), 2, 0);
    assert_contains(rig->words.says, "3 open sends in 2 mixes are post-fader");
    assert_string_equal(rig->words.cure,
                        "say which desk this is in the show file: \"desk\": { \"role\": "
                        "\"monitor\" } or \"house\"");
    assert_int_equal(rig_told(rig, check, EVENT_RAISED), 1);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_ASKED);
}

static void
unsaid_role_without_such_sends_passes(void **state)
{
    struct rig *rig = start(state, ROLE_UNKNOWN);

    assert_contains(rig_words_desk(rig, check)->says, "1 open send in 1 mix is post-fader");
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_FADER);
    assert_int_equal(rig_judge_desk(rig, check)->outcome, OUTCOME_PASS);
}

static void
unused_mix_is_not_asked(void **state)
{
    struct rig *rig = start(state, ROLE_HOUSE);

    rig->show->mixes[0].feeds = FEEDS_UNUSED;
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_ASKED);
}

/* Nor does it count where the role was not said. */
static void
unused_mix_does_not_count_for_the_desk(void **state)
{
    struct rig *rig = start(state, ROLE_UNKNOWN);

    rig->show->mixes[0].feeds = FEEDS_UNUSED;
    assert_int_equal(rig_judge_desk(rig, check)->outcome, OUTCOME_PASS);
}

/* Twelve inputs are listed by name as far as the words have room; the number is always right. */
static void
long_lists_are_cut_but_counted(void **state)
{
    struct rig *rig = *state;
    const struct verdict *verdict;

    rig_start(rig, 40, 1);
    rig->show->role = ROLE_HOUSE;
    for (int input = 0; input < 40; input++) {
        rig_set_text(rig, PARAM_INPUT_NAME, input, input < 12 ? "Vx" : "a label of some length");
        rig_set(rig, PARAM_SEND_LEVEL, input, 0, 0);
        rig_set(rig, PARAM_SEND_TAP, input, 0, TAP_POST_FADER);
    }
    verdict = rig_judge_mix(rig, check, 0);
    assert_near(rig_figure(verdict, "sends_count"), 40, 0);
    assert_contains(rig->words.says, "11 Vx, 12 Vx and 28 more");
    for (int input = 0; input < 40; input++)
        rig_set_text(rig, PARAM_INPUT_NAME, input,
                     "a label that leaves no room for so many others");
    verdict = rig_judge_mix(rig, check, 0);
    assert_near(rig_figure(verdict, "sends_count"), 40, 0);
    assert_contains(rig->words.says, "40 sends into the mix follow");
    assert_string_equal(rig->words.says + strlen(rig->words.says) - 3, "...");
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(house_desk_should_be_fixed),
        RIG_TEST(house_desk_counts_and_lists),
        RIG_TEST(closed_sends_do_not_count),
        RIG_TEST(monitor_desk_minds_only_moved_faders),
        RIG_TEST(groups_are_followed_as_well),
        RIG_TEST(dead_sends_are_closed),
        RIG_TEST(monitor_desk_ignores_faders_of_pre_fader_sends),
        RIG_TEST(unsaid_role_is_told_once),
        RIG_TEST(unsaid_role_without_such_sends_passes),
        RIG_TEST(unused_mix_is_not_asked),
        RIG_TEST(unused_mix_does_not_count_for_the_desk),
        RIG_TEST(long_lists_are_cut_but_counted),
    };

    return cmocka_run_group_tests_name("send_follows_fader", tests, NULL, NULL);
}
