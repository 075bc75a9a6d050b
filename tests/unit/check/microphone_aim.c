/* SPDX-License-Identifier: MIT */
/* microphone-aim beside the patterns' formula: a wedge off a microphone's axis in the open, where the
 * best turn can be worked out by hand; and the two lobes that make a super- or hypercardioid wrong for
 * one wedge and right for two.
 */
#include "rig.h"
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "stage/angle.h"
#include "stage/stage.h"

static const char id[] = "microphone-aim";

static const struct beam all_round = {1, {{1000, 2, {0, 180}, {0, 0}}}};

static void
add_wedge(struct stage *stage, int mix, double degrees)
{
    struct stage_loudspeaker *wedge = stage_add_loudspeaker(stage);
    double angle = angle_radians(degrees);

    wedge->mixes = (struct serves){1, {mix}};
    wedge->placed = true;
    wedge->at = (struct place){2 * sin(angle), 2 * cos(angle), 1.5};
    wedge->beam = all_round;
}

/* A microphone of input 0 on a stand, and a wedge of mix 0 so far off its axis, in the open. */
static struct stage *
one_wedge(enum polar pattern, double degrees)
{
    struct stage *stage = stage_new();
    struct stage_microphone *microphone = stage_add_microphone(stage);

    stage->critical_m.number = HUGE_VAL;
    microphone->inputs = (struct serves){1, {0}};
    microphone->placed = true;
    microphone->at = (struct place){0, 0, 1.5};
    microphone->pattern = pattern;
    add_wedge(stage, 0, degrees);
    return stage;
}

static const struct verdict *
judge(struct rig *rig, struct stage *stage)
{
    int mixes = stage->loudspeaker_count;

    rig_start_plan(rig, 2, mixes, stage);
    for (int mix = 0; mix < mixes; mix++)
        rig_set(rig, PARAM_SEND_LEVEL, 0, mix, 0);
    return rig_judge_input(rig, id, 0);
}

/* What the pattern wins at the wedge less what it loses at the mouth, over every turn. */
static double
best_db(enum polar pattern, double degrees)
{
    double a = pattern_rows[pattern].a, best = 0;

    for (int by = -45; by <= 45; by += 5)
        best = fmax(best, pattern_db(a, degrees, -18) - pattern_db(a, degrees + by, -18) +
                              pattern_db(a, by, -18));
    return best;
}

static void
three_decibels_are_a_note(void **state)
{
    struct rig *rig = *state;
    int found = 0;

    for (enum polar pattern = 0; pattern < PATTERNS; pattern++)
        for (int degrees = 60; degrees <= 180; degrees += 10) {
            double wins_db = best_db(pattern, degrees);
            const struct verdict *verdict = judge(rig, one_wedge(pattern, degrees));

            assert_int_equal(verdict->outcome, wins_db >= 3 ? OUTCOME_FINDING : OUTCOME_PASS);
            if (wins_db < 3)
                continue;
            assert_int_equal(verdict->weight, WEIGHT_NOTE);
            assert_near(rig_figure(verdict, "wins_db"), wins_db, 0.05001);
            found++;
        }
    assert_in_range(found, 15, 65);
}

/* One straight behind a supercardioid, 11.7 dB down: its null is at 126 degrees (DPA Microphones
 * dictionary), so a turn wins. A cardioid's is straight behind. */
static void
one_wedge_behind_is_right_for_a_cardioid(void **state)
{
    struct rig *rig = *state;

    assert_int_equal(judge(rig, one_wedge(PATTERN_CARDIOID, 180))->outcome, OUTCOME_PASS);
    assert_int_equal(judge(rig, one_wedge(PATTERN_SUPERCARDIOID, 180))->outcome, OUTCOME_FINDING);
    assert_int_equal(judge(rig, one_wedge(PATTERN_OMNIDIRECTIONAL, 90))->outcome, OUTCOME_PASS);
}

/* Two at 126 degrees to the left and right: what one turn wins at one it loses at the other. */
static void
two_wedges_at_the_sides_are_right_for_a_supercardioid(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = one_wedge(PATTERN_SUPERCARDIOID, 126);

    add_wedge(stage, 1, -126);
    assert_int_equal(judge(rig, stage)->outcome, OUTCOME_PASS);
    stage = one_wedge(PATTERN_CARDIOID, 100); /* turned from one it faces the other */
    add_wedge(stage, 1, -100);
    assert_int_equal(judge(rig, stage)->outcome, OUTCOME_PASS);
    assert_int_equal(judge(rig, one_wedge(PATTERN_CARDIOID, 100))->outcome, OUTCOME_FINDING);
}

static void
a_turn_is_told_with_what_it_costs(void **state)
{
    struct rig *rig = *state;
    const struct words *words;

    judge(rig, one_wedge(PATTERN_CARDIOID, 100));
    words = &rig->words;
    assert_non_null(strstr(words->says, " degrees away from the loudspeaker of mix 1 Mix 1"));
    assert_non_null(strstr(words->says, "and its voice or instrument loses "));
    assert_non_null(strstr(words->cure, "with the input closed"));
    assert_non_null(strstr(words->cure, " dB softer"));
}

/* Two play one mix, to the left and right: turned away from the wrong one it would face the other. */
static void
of_two_loudspeakers_it_is_told_from_which(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = one_wedge(PATTERN_CARDIOID, 90);

    stage->loudspeakers[0].at.x_m = -1.5;
    add_wedge(stage, 1, 150);
    stage->loudspeakers[1].mixes.of[0] = 0;
    assert_int_equal(judge(rig, stage)->outcome, OUTCOME_FINDING);
    assert_non_null(
        strstr(rig->words.says, "away from the loudspeaker of mix 1 Mix 1 at x -1.5, y 0 m, its"));
    judge(rig, one_wedge(PATTERN_CARDIOID, 100));
    assert_null(strstr(rig->words.says, " at x "));
}

static void
never_in_a_hand_nor_in_much_room(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = one_wedge(PATTERN_CARDIOID, 100);

    stage->microphones[0].in_hand = true;
    assert_int_equal(judge(rig, stage)->outcome, OUTCOME_NOT_ASKED);
    stage = one_wedge(PATTERN_CARDIOID, 100);
    stage->critical_m.number = 1;
    assert_int_equal(judge(rig, stage)->outcome, OUTCOME_PASS);
    assert_int_equal(rig_judge_input(rig, id, 1)->outcome, OUTCOME_NOT_ASKED); /* not in the plan */
}

/* Far below what rings first nobody is told to turn anything. */
static void
a_soft_one_is_left_alone(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = one_wedge(PATTERN_CARDIOID, 100);
    struct stage_microphone *other = stage_add_microphone(stage);

    *other = stage->microphones[0];
    other->inputs = (struct serves){1, {1}};
    judge(rig, stage);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, 9);
    assert_int_equal(rig_judge_input(rig, id, 0)->outcome, OUTCOME_FINDING);
    judge(rig, one_wedge(PATTERN_CARDIOID, 100));
    stage = one_wedge(PATTERN_CARDIOID, 100);
    other = stage_add_microphone(stage);
    *other = stage->microphones[0];
    other->inputs = (struct serves){1, {1}};
    rig_start_plan(rig, 2, 1, stage);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -11);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, 0);
    assert_int_equal(rig_judge_input(rig, id, 0)->outcome, OUTCOME_PASS);
    assert_int_equal(rig_judge_input(rig, id, 1)->outcome, OUTCOME_FINDING);
}

/* One angle from a tape says nothing of the other loudspeakers after a turn. */
static void
pairs_of_two_loudspeakers_are_not_asked_about(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = stage_new();

    stage->critical_m.number = HUGE_VAL;
    *stage_add_pair(stage, 0, 0) = (struct stage_pair){0, 0, 2, 100, 0};
    assert_int_equal(judge(rig, stage)->outcome, OUTCOME_FINDING);
    stage = stage_new();
    *stage_add_pair(stage, 0, 0) = (struct stage_pair){0, 0, 2, 100, 0};
    *stage_add_pair(stage, 0, 1) = (struct stage_pair){0, 1, 2, 100, 0};
    assert_int_equal(judge(rig, stage)->outcome, OUTCOME_NOT_ASKED);
}

static void
closed_and_unknown(void **state)
{
    struct rig *rig = *state;

    judge(rig, one_wedge(PATTERN_CARDIOID, 100));
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    assert_int_equal(rig_judge_input(rig, id, 0)->outcome, OUTCOME_CLOSED);
    judge(rig, one_wedge(PATTERN_CARDIOID, 100));
    rig_stale(rig, PARAM_SEND_LEVEL, 0, 0);
    assert_int_equal(rig_judge_input(rig, id, 0)->outcome, OUTCOME_NOT_KNOWN);
    assert_non_null(strstr(rig->why, "send"));
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(three_decibels_are_a_note),
        RIG_TEST(one_wedge_behind_is_right_for_a_cardioid),
        RIG_TEST(two_wedges_at_the_sides_are_right_for_a_supercardioid),
        RIG_TEST(a_turn_is_told_with_what_it_costs),
        RIG_TEST(of_two_loudspeakers_it_is_told_from_which),
        RIG_TEST(never_in_a_hand_nor_in_much_room),
        RIG_TEST(a_soft_one_is_left_alone),
        RIG_TEST(pairs_of_two_loudspeakers_are_not_asked_about),
        RIG_TEST(closed_and_unknown),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
