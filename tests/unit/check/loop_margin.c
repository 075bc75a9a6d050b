/* SPDX-License-Identifier: MIT */
/* loop-margin beside sums by hand: one microphone and one wedge in the open, facing each other, 1 m
 * apart: sensitivities, amplifier and desk are all there is, and the allowance of the pattern.
 */
#include "rig.h"
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "proof/proof.h"
#include "stage/estimate.h"

static const char id[] = "loop-margin";

static const struct beam all_round = {1, {{1000, 2, {0, 180}, {0, 0}}}};

/* Acoustic gain of one pair: 97 dB at 1 m for 2.83 V, 20 dB of amplifier, 2 mV at 93.98 dB SPL, and the
 * allowance. */
static double
air_db(void)
{
    return 20 + 97 - 10 * log10(8) + 20 * log10(0.002) - 20 * log10(1 / 20e-6) +
           pattern_rows[PATTERN_CARDIOID].allowance_db;
}

/* So many pairs, kilometres from each other: each is alone. */
static struct stage *
pairs(int count)
{
    struct stage *stage = stage_new();

    stage->critical_m = (struct stated){HUGE_VAL, GIVEN};
    stage->calibration_db.how = GIVEN;
    for (int i = 0; i < count; i++) {
        struct stage_microphone *microphone = stage_add_microphone(stage);
        struct stage_loudspeaker *wedge = stage_add_loudspeaker(stage);

        microphone->inputs = wedge->mixes = (struct serves){1, {i}};
        microphone->placed = wedge->placed = true;
        microphone->at = (struct place){900 * i, 0, 1.5};
        wedge->at = (struct place){900 * i, 1, 1.5};
        microphone->sensitivity_mv_per_pa = (struct stated){2, GIVEN};
        wedge->sensitivity_db = (struct stated){97, GIVEN};
        wedge->amplifier_db = (struct stated){20, GIVEN};
        wedge->beam = all_round;
    }
    return stage;
}

/* Each open into its own mix, with that margin. */
static void
start(struct rig *rig, int count, struct stage *stage, double margin_db)
{
    rig_start_plan(rig, count, count, stage);
    for (int i = 0; i < count; i++) {
        rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, i, 0, 0);
        rig_set(rig, PARAM_INPUT_PREAMP_GAIN, i, 0, 0);
        rig_set(rig, PARAM_SEND_LEVEL, i, i, 0);
        rig_set(rig, PARAM_INPUT_TRIM, i, 0, -air_db() - margin_db - 30);
        rig_set(rig, PARAM_INPUT_PREAMP_GAIN, i, 0, 30);
    }
}

static enum outcome
outcome(struct rig *rig, int mix)
{
    return rig_judge_mix(rig, id, mix)->outcome;
}

static void
under_three_decibels_is_a_note_and_never_more(void **state)
{
    static const double margins_db[] = {6, 3.1, 2.9, 0, -12};
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof margins_db / sizeof *margins_db; i++) {
        const struct verdict *verdict;

        start(rig, 1, pairs(1), margins_db[i]);
        verdict = rig_judge_mix(rig, id, 0);
        assert_int_equal(verdict->outcome, margins_db[i] < 3 ? OUTCOME_FINDING : OUTCOME_PASS);
        if (margins_db[i] >= 3)
            continue;
        assert_int_equal(verdict->weight, WEIGHT_NOTE);
        assert_near(rig_figure(verdict, "loop_gain_db"), -margins_db[i], 0.05001);
        assert_near(rig_figure(verdict, "desk_db") + rig_figure(verdict, "air_db"),
                    rig_figure(verdict, "loop_gain_db"), 1e-6);
        assert_near(rig_figure(verdict, "air_db"), air_db(), 0.11);
    }
}

static void
what_it_says_is_an_estimate(void **state)
{
    struct rig *rig = *state;
    const struct words *words;

    start(rig, 1, pairs(1), 1);
    words = rig_words_mix(rig, id, 0);
    assert_non_null(strstr(words->says, "estimated 1 dB below the first ring, give or take "));
    assert_non_null(strstr(words->says, " dB: perhaps near "));
    assert_non_null(strstr(words->says, "nothing was measured"));
    assert_non_null(strstr(words->cure, "turn nothing up on this figure"));
    start(rig, 1, pairs(1), -2);
    assert_non_null(
        strstr(rig_words_mix(rig, id, 0)->says, "estimated 2 dB beyond the first ring"));
}

/* Two wedges of one microphone in the sum of their powers: 3.01 dB less (10 log10 2, Handbook for Sound
 * Engineers, chapter 34). The mix that leads is told of, the other is not. */
static void
the_whole_stage_is_told_of_the_mix_that_leads(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = pairs(2);
    const struct verdict *verdict;

    stage->microphones[1].at = stage->microphones[0].at;
    stage->loudspeakers[1].at = stage->loudspeakers[0].at;
    start(rig, 2, stage, 5);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, 0);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, 0.2);
    verdict = rig_judge_mix(rig, id, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_near(rig_figure(verdict, "whole_stage_gain_db"), rig_figure(verdict, "loop_gain_db"), 0);
    assert_near(rig_figure(verdict, "others_db"), 20 * log10(2), 0.15);
    assert_non_null(strstr(rig_words_mix(rig, id, 0)->says, "with all mixes together"));
    assert_int_equal(outcome(rig, 1), OUTCOME_FINDING); /* 2 dB by itself */
    assert_true(isnan(verdict_figure(&rig->verdict, "whole_stage_gain_db")));
}

static void
differences_alone_are_not_asked_about(void **state)
{
    struct rig *rig = *state;

    for (int lacks = 0; lacks < 4; lacks++) {
        struct stage *stage = pairs(1);
        struct stated *const figures[] = {
            &stage->calibration_db, &stage->microphones[0].sensitivity_mv_per_pa,
            &stage->loudspeakers[0].sensitivity_db, &stage->loudspeakers[0].amplifier_db};

        figures[lacks]->how = STANDS_IN;
        start(rig, 1, stage, -5);
        assert_int_equal(outcome(rig, 0), OUTCOME_NOT_ASKED);
    }
}

/* A figure that another mix lacks is in the whole stage's, so that each is told by itself. */
static void
what_another_mix_lacks_is_in_no_figure(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = pairs(2);

    stage->microphones[1].at = stage->microphones[0].at;
    stage->loudspeakers[1].at = stage->loudspeakers[0].at;
    stage->loudspeakers[1].amplifier_db = (struct stated){60, STANDS_IN};
    start(rig, 2, stage, 5);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, 0);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, 0.2);
    assert_int_equal(outcome(rig, 1), OUTCOME_NOT_ASKED);
    assert_int_equal(outcome(rig, 0), OUTCOME_FINDING); /* 1.8 dB by itself */
    assert_near(rig_figure(&rig->verdict, "loop_gain_db"), -1.8, 0.0501);
}

static void
closed_unknown_and_elsewhere(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = pairs(2);

    stage->loudspeakers[1].mixes.of[0] = 0; /* mix 2 has no loudspeaker */
    start(rig, 2, stage, 10);
    assert_int_equal(outcome(rig, 1), OUTCOME_NOT_ASKED);
    assert_int_equal(outcome(rig, 0), OUTCOME_PASS);
    rig_set(rig, PARAM_MIX_MUTE, 0, 0, 1);
    assert_int_equal(outcome(rig, 0), OUTCOME_CLOSED);
    start(rig, 1, pairs(1), 10);
    rig_stale(rig, PARAM_INPUT_TRIM, 0, 0);
    assert_int_equal(outcome(rig, 0), OUTCOME_NOT_KNOWN);
    assert_non_null(strstr(rig->why, "trim"));
    stage = pairs(1);
    stage->loudspeakers[0].placed = false;
    start(rig, 1, stage, 10);
    assert_int_equal(outcome(rig, 0), OUTCOME_NOT_KNOWN);
    assert_non_null(strstr(rig->why, "does not tell where both ends"));
}

/* A path that is not known takes no finding away: more paths make less margin. */
static void
what_is_not_known_hides_nothing(void **state)
{
    struct rig *rig = *state;

    start(rig, 2, pairs(2), 1);
    rig_stale(rig, PARAM_INPUT_TRIM, 1, 0);
    assert_int_equal(outcome(rig, 0), OUTCOME_FINDING);
    assert_int_equal(outcome(rig, 1), OUTCOME_NOT_KNOWN);
}

/* Everything 6 dB louder did not ring: then the proof is told, and no estimate. */
static void
a_proof_takes_its_place(void **state)
{
    struct rig *rig = *state;
    struct proof_ceiling ceiling = {.mix = -1};
    struct proofs proofs = {.ceilings = &ceiling, .ceiling_count = 1};

    start(rig, 1, pairs(1), 1);
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Vox wedge");
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ld Vox");
    assert_int_equal(outcome(rig, 0), OUTCOME_FINDING);
    ceiling.desk = desk_copy(rig->desk);
    desk_set(ceiling.desk, PARAM_MIX_FADER, 0, 0, 6, 1);
    engine_set_proofs(rig->engine, &proofs);
    assert_int_equal(outcome(rig, 0), OUTCOME_FOLDED);
    engine_set_proofs(rig->engine, NULL);
    assert_int_equal(outcome(rig, 0), OUTCOME_FINDING);
    desk_free(ceiling.desk);
}

/* Where no plan is, nothing is looked at, and an engine that stays has no such check. */
static void
no_plan_and_no_watch(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 1, 1);
    assert_int_equal(engine_find(rig->engine, CHECK_LOOP_MARGIN, (struct object){-1, 0}),
                     engine_slots(rig->engine));
    rig_start_set(rig, 1, 1, check_set_lasting());
    assert_null(engine_checks(rig->engine)->of[CHECK_LOOP_MARGIN]);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(under_three_decibels_is_a_note_and_never_more),
        RIG_TEST(what_it_says_is_an_estimate),
        RIG_TEST(the_whole_stage_is_told_of_the_mix_that_leads),
        RIG_TEST(differences_alone_are_not_asked_about),
        RIG_TEST(what_another_mix_lacks_is_in_no_figure),
        RIG_TEST(closed_unknown_and_elsewhere),
        RIG_TEST(what_is_not_known_hides_nothing),
        RIG_TEST(a_proof_takes_its_place),
        RIG_TEST(no_plan_and_no_watch),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
