/* SPDX-License-Identifier: MIT */
/* margin-left on a rig that was rung out by the book: all together 6 dB below a ceiling, then mix 1
 * pushed by 9 dB and put back. A finding is told of the mix whose own paths rose, and of no other.
 */
#include "rig.h"
#include "unit.h"

#include <math.h>
#include <stdlib.h>

#include "advice/plan.h"
#include "proof/proof.h"

enum { INPUTS = 3, MIXES = 3 };

static const char id[] = "margin-left";

struct evening {
    struct rig *rig;
    struct proof_ceiling ceilings[2];
    struct proofs kept;
};

static struct desk *
up(const struct desk *desk, int mix, double db)
{
    struct desk *other = desk_copy(desk);

    for (int i = 0; i < MIXES; i++)
        if (mix < 0 || i == mix)
            desk_set(other, PARAM_MIX_FADER, i, 0, db, 1);
    return other;
}

static void
begin_accepting(struct evening *evening, struct rig *rig, const struct accept *accepts, int count)
{
    rig_start_accepts(rig, INPUTS, MIXES, accepts, count);
    for (int mix = 0; mix < MIXES; mix++) {
        rig_set_text(rig, PARAM_MIX_NAME, mix, "Vox wedge");
        for (int input = 0; input < INPUTS; input++)
            rig_set(rig, PARAM_SEND_LEVEL, input, mix, 0);
    }
    for (int input = 0; input < INPUTS; input++)
        rig_set_text(rig, PARAM_INPUT_NAME, input, "Ld Vox");
    *evening = (struct evening){.rig = rig,
                                .ceilings = {{.desk = up(rig->desk, -1, 6), .mix = -1},
                                             {.desk = up(rig->desk, 0, 9), .mix = -1}}};
    evening->kept = (struct proofs){
        .ceilings = evening->ceilings, .ceiling_count = 2, .left = desk_copy(rig->desk)};
    engine_set_proofs(rig->engine, &evening->kept);
    rig_run(rig);
}

static void
begin(struct evening *evening, struct rig *rig)
{
    begin_accepting(evening, rig, NULL, 0);
}

static void
end(struct evening *evening)
{
    engine_set_proofs(evening->rig->engine, NULL);
    desk_free(evening->ceilings[0].desk);
    desk_free(evening->ceilings[1].desk);
    desk_free(evening->kept.left);
}

static void
assert_found(struct rig *rig, int mix, enum weight weight, double left_db)
{
    const struct verdict *verdict = rig_judge_mix(rig, id, mix);

    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, weight);
    assert_near(-rig_figure(verdict, "past_db"), left_db, 1e-6);
}

static void
assert_outcome(struct rig *rig, int mix, enum outcome outcome)
{
    assert_int_equal(rig_judge_mix(rig, id, mix)->outcome, outcome);
}

static void
test_nothing_is_asked_without_a_proof(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, INPUTS, MIXES);
    rig_run(rig);
    for (int mix = 0; mix < MIXES; mix++)
        assert_outcome(rig, mix, OUTCOME_NOT_ASKED);
    /* and nothing marks it */
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -3);
    rig_run(rig);
    assert_null(rig_finding(rig, id, -1, 0));
}

static void
test_what_is_left(void **state)
{
    static const struct {
        double rise_db;
        enum outcome outcome;
        enum weight weight;
    } rows[] = {{0.5, OUTCOME_PASS, WEIGHT_NOTE},    {1.9, OUTCOME_PASS, WEIGHT_NOTE},
                {2.1, OUTCOME_FINDING, WEIGHT_NOTE}, {2.9, OUTCOME_FINDING, WEIGHT_NOTE},
                {3, OUTCOME_FINDING, WEIGHT_FIX}, /* 3 dB less than right after the ring-out */
                {4.1, OUTCOME_FINDING, WEIGHT_FIX},  {7, OUTCOME_FINDING, WEIGHT_FIX}};
    struct rig *rig = *state;
    struct evening evening;

    begin(&evening, rig);
    for (size_t i = 0; i < COUNT(rows); i++) {
        rig_set(rig, PARAM_SEND_LEVEL, 2, 1, rows[i].rise_db);
        rig_run(rig);
        if (rows[i].outcome == OUTCOME_FINDING)
            assert_found(rig, 1, rows[i].weight, 6 - rows[i].rise_db);
        else
            assert_outcome(rig, 1, rows[i].outcome);
        assert_outcome(rig, 2, rows[i].rise_db > 6 ? OUTCOME_NOT_KNOWN : OUTCOME_PASS);
    }
    assert_string_equal(rig_words_mix(rig, id, 1)->says,
                        "1 dB past what the ring-out proved (6 dB right after it), through input 3 "
                        "Ld Vox, since its send rose by 7 dB. From the desk's numbers alone: after "
                        "the stage has moved, ring out again");
    end(&evening);
}

/* 3 dB up are 3 dB lost, whatever a desk's 32 bits make of the level. */
static void
test_three_decibels_are_three_on_any_level(void **state)
{
    struct rig *rig = *state;
    struct evening evening;

    begin(&evening, rig);
    for (int tenths = -300; tenths <= 50; tenths += 7) {
        float was = (float)(tenths / 10.0), is = (float)(tenths / 10.0 + 3);

        desk_set(evening.kept.left, PARAM_SEND_LEVEL, 2, 1, was, 1);
        for (int i = 0; i < 2; i++)
            desk_set(evening.ceilings[i].desk, PARAM_SEND_LEVEL, 2, 1, was, 1);
        engine_set_proofs(rig->engine, &evening.kept);
        rig_set(rig, PARAM_SEND_LEVEL, 2, 1, is);
        rig_run(rig);
        assert_found(rig, 1, WEIGHT_FIX, 3);
    }
    end(&evening);
}

/* One mix that slips, by little or much: no other mix is told, though ceilings went. */
static void
test_one_slip_is_one_mix(void **state)
{
    static const double slips[] = {0.5, 7, 9};
    struct rig *rig = *state;
    struct evening evening;

    begin(&evening, rig);
    for (size_t i = 0; i < COUNT(slips); i++)
        for (int mix = 0; mix < MIXES; mix++) {
            for (int other = 0; other < MIXES; other++)
                rig_set(rig, PARAM_MIX_FADER, other, 0, other == mix ? slips[i] : 0);
            rig_run(rig);
            for (int other = 0; other < MIXES; other++)
                assert_true(other == mix ||
                            rig_judge_mix(rig, id, other)->outcome != OUTCOME_FINDING);
        }
    end(&evening);
}

/* Allowances never raise a finding. */
static void
test_downward_moves_raise_nothing(void **state)
{
    struct rig *rig = *state;
    struct evening evening;

    begin(&evening, rig);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 1, -2);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 1, 12, -6);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 2, 0, 180);
    rig_run(rig);
    for (int mix = 0; mix < MIXES; mix++)
        assert_outcome(rig, mix, OUTCOME_PASS);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 0);
    rig_run(rig);
    for (int mix = 0; mix < MIXES; mix++)
        assert_outcome(rig, mix, OUTCOME_PASS);
    end(&evening);
}

static void
test_not_known(void **state)
{
    struct rig *rig = *state;
    struct evening evening;

    begin(&evening, rig);
    rig_set(rig, PARAM_INPUT_POLARITY, 1, 0, 1);
    rig_run(rig);
    assert_outcome(rig, 0, OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why,
                        "input 2: it is open into a loudspeaker, and no ring-out proved it so");
    rig_set(rig, PARAM_INPUT_POLARITY, 1, 0, 0);
    rig_stale(rig, PARAM_SEND_LEVEL, 1, 1);
    rig_run(rig);
    assert_outcome(rig, 1, OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why, "send.level of input 2, mix 2 is stale");
    end(&evening);
}

/* Every ceiling is one of this mix alone, with the others closed. */
static void
prove_alone(struct evening *evening, int mix)
{
    for (int i = 0; i < 2; i++)
        for (int other = 0; other < MIXES; other++) {
            evening->ceilings[i].mix = mix;
            desk_set(evening->ceilings[i].desk, PARAM_MIX_MUTE, other, 0, other != mix, 1);
        }
    engine_set_proofs(evening->rig->engine, &evening->kept);
}

static void
test_proved_alone(void **state)
{
    struct rig *rig = *state;
    struct evening evening;

    begin(&evening, rig);
    prove_alone(&evening, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 4);
    rig_run(rig);
    assert_outcome(rig, 0, OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why, "mix 1: its margin was only proved with other mixes closed");
    end(&evening);
}

/* Past the single proof is past all that was proved, whatever the others do. */
static void
test_past_what_was_proved_alone(void **state)
{
    struct rig *rig = *state;
    struct evening evening;

    begin(&evening, rig);
    prove_alone(&evening, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 10);
    rig_run(rig);
    assert_found(rig, 0, WEIGHT_FIX, -1);
    for (int mix = 1; mix < MIXES; mix++)
        assert_outcome(rig, mix, OUTCOME_NOT_KNOWN);
    end(&evening);
}

/* Nobody stepped back: nothing rose since, and yet it is past all that did not ring. */
static void
test_what_was_left_past_its_proof(void **state)
{
    struct rig *rig = *state;
    struct evening evening;

    begin(&evening, rig);
    rig_set(rig, PARAM_INPUT_TRIM, 2, 0, 10);
    desk_set(evening.kept.left, PARAM_INPUT_TRIM, 2, 0, 10, 1);
    engine_set_proofs(rig->engine, &evening.kept);
    rig_run(rig);
    assert_found(rig, 0, WEIGHT_FIX, -1);
    assert_found(rig, 1, WEIGHT_FIX, -4);
    assert_found(rig, 2, WEIGHT_FIX, -4);
    assert_string_equal(rig_words_mix(rig, id, 1)->says,
                        "4 dB past what the ring-out proved, through input 3 Ld Vox. From the "
                        "desk's numbers alone: after the stage has moved, ring out again");
    assert_string_equal(rig_words_mix(rig, id, 1)->cure,
                        "its master down by 4 dB or more; then ring out again, in-ears out");
    rig_set(rig, PARAM_INPUT_TRIM, 2, 0, 6); /* as far as it is proved */
    rig_run(rig);
    for (int mix = 0; mix < MIXES; mix++)
        assert_outcome(rig, mix, OUTCOME_PASS);
    end(&evening);
}

/* What opened has no proof, and takes none from what was open before. */
static void
test_what_opened_hides_no_rise(void **state)
{
    struct rig *rig = *state;
    struct evening evening;

    begin(&evening, rig);
    for (int i = 0; i < 2; i++)
        desk_set(evening.ceilings[i].desk, PARAM_SEND_ON, 0, 1, 0, 1);
    desk_set(evening.kept.left, PARAM_SEND_ON, 0, 1, 0, 1);
    engine_set_proofs(rig->engine, &evening.kept);
    rig_set(rig, PARAM_SEND_LEVEL, 2, 1, 1);
    rig_run(rig);
    assert_outcome(rig, 1, OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why,
                        "input 1: it is open into a loudspeaker, and no ring-out proved it so");
    rig_set(rig, PARAM_SEND_LEVEL, 2, 1, 5);
    rig_run(rig);
    assert_found(rig, 1, WEIGHT_FIX, 1);
    assert_contains(rig_words_mix(rig, id, 1)->says,
                    "through input 3 Ld Vox, since its send rose by 5 dB; input 1 Ld Vox is open "
                    "into it too, and has no proof. From");
    assert_outcome(rig, 0, OUTCOME_NOT_KNOWN);
    end(&evening);
}

static void
test_all_that_rose_is_named(void **state)
{
    struct rig *rig = *state;
    struct evening evening;

    begin(&evening, rig);
    rig_set(rig, PARAM_SEND_LEVEL, 2, 1, 2);
    rig_set(rig, PARAM_INPUT_TRIM, 2, 0, 1.5);
    rig_set(rig, PARAM_MIX_FADER, 1, 0, 1);
    rig_run(rig);
    assert_contains(rig_words_mix(rig, id, 1)->says,
                    "since its send rose by 2 dB, its trim by 1.5 dB and its master by 1 dB. From");
    end(&evening);
}

/* ---- the card ---- */

static void
test_what_rose_goes_back(void **state)
{
    struct rig *rig = *state;
    struct evening evening;
    struct plan *plan;
    const struct card *card;

    begin(&evening, rig);
    rig_set(rig, PARAM_SEND_LEVEL, 2, 1, 3);
    rig_set(rig, PARAM_INPUT_TRIM, 2, 0, 2);
    rig_run(rig);
    plan = engine_advise(rig->engine, 0);
    assert_int_not_equal(plan_card_of(plan, CHECK_MARGIN_LEFT, (struct object){-1, 1}),
                         PLAN_NO_CARD);
    card = &plan->cards[plan_card_of(plan, CHECK_MARGIN_LEFT, (struct object){-1, 1})];
    assert_int_equal(card->kind, CARD_PUT_BACK);
    assert_int_equal(card->count, 2);
    assert_near(card->louder_db, 0, 1e-9);
    for (size_t i = 0; i < card->count; i++) {
        assert_int_equal(card->moves[i].row, 2);
        assert_near(card->moves[i].to, 0, 1e-9);
    }
    plan_free(plan);
    end(&evening);
}

/* A master that slipped past what was accepted of it goes back: no other card makes up for it. What
 * stands as it was accepted stays. */
static void
test_what_outgrew_its_accept_goes_back(void **state)
{
    struct accept accept = {.check = CHECK_MASTER_OFF_UNITY,
                            .input = -1,
                            .mix = 1,
                            .up_to = 2,
                            .why = "the wedge is soft",
                            .by = "Mara"};
    struct rig *rig = *state;
    struct evening evening;
    struct plan *plan;
    size_t at;

    begin_accepting(&evening, rig, &accept, 1);
    rig_set(rig, PARAM_MIX_FADER, 1, 0, 7);
    rig_run(rig);
    plan = engine_advise(rig->engine, 0);
    at = plan_card_of(plan, CHECK_MARGIN_LEFT, (struct object){-1, 1});
    assert_int_not_equal(at, PLAN_NO_CARD);
    assert_int_equal(plan->cards[at].kind, CARD_PUT_BACK);
    assert_int_equal(plan->cards[at].count, 1);
    assert_int_equal(plan->cards[at].moves[0].id, PARAM_MIX_FADER);
    assert_near(plan->cards[at].moves[0].to, 0, 1e-9);
    for (size_t i = 0; i < plan->count; i++)
        assert_int_equal(plan->cards[i].kind, CARD_PUT_BACK);
    plan_free(plan);
    end(&evening);
}

static void
test_what_stands_as_accepted_stays(void **state)
{
    struct accept accept = {.check = CHECK_MASTER_OFF_UNITY,
                            .input = -1,
                            .mix = 1,
                            .up_to = 8,
                            .why = "the wedge is soft",
                            .by = "Mara"};
    struct rig *rig = *state;
    struct evening evening;
    struct plan *plan;

    begin_accepting(&evening, rig, &accept, 1);
    rig_set(rig, PARAM_MIX_FADER, 1, 0, 7);
    rig_run(rig);
    plan = engine_advise(rig->engine, 0);
    assert_int_equal(plan_card_of(plan, CHECK_MARGIN_LEFT, (struct object){-1, 1}), PLAN_NO_CARD);
    assert_int_equal(plan->stop_count, 1);
    assert_int_equal(plan->stops[0].reason, STOP_ACCEPTED);
    plan_free(plan);
    end(&evening);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(test_nothing_is_asked_without_a_proof),
        RIG_TEST(test_what_is_left),
        RIG_TEST(test_three_decibels_are_three_on_any_level),
        RIG_TEST(test_one_slip_is_one_mix),
        RIG_TEST(test_downward_moves_raise_nothing),
        RIG_TEST(test_not_known),
        RIG_TEST(test_proved_alone),
        RIG_TEST(test_past_what_was_proved_alone),
        RIG_TEST(test_what_was_left_past_its_proof),
        RIG_TEST(test_what_opened_hides_no_rise),
        RIG_TEST(test_all_that_rose_is_named),
        RIG_TEST(test_what_rose_goes_back),
        RIG_TEST(test_what_outgrew_its_accept_goes_back),
        RIG_TEST(test_what_stands_as_accepted_stays),
    };

    return cmocka_run_group_tests_name("margin_left", tests, NULL, NULL);
}
