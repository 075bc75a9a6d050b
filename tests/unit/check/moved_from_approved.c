/* SPDX-License-Identifier: MIT */
/* moved-from-approved: what is drift and what is riding, how much counts, and what is not known. */
#include "rig.h"
#include "unit.h"

#include <math.h>
#include <string.h>

#include "change/difference.h"

static const char check[] = "moved-from-approved";

/* Approves the rig's desk as it stands. */
static void
start(struct rig *rig)
{
    struct desk *approved;

    rig_start(rig, 2, 2);
    approved = desk_copy(rig->desk);
    assert_non_null(approved);
    engine_set_approved(rig->engine, approved);
    rig_run(rig);
}

static enum outcome
outcome_of(struct rig *rig, struct object object)
{
    rig_run(rig);
    return engine_outcome(rig->engine, engine_find(rig->engine, check_find(check), object));
}

static enum outcome
input_outcome(struct rig *rig)
{
    return outcome_of(rig, (struct object){0, -1});
}

static enum outcome
mix_outcome(struct rig *rig)
{
    return outcome_of(rig, (struct object){-1, 0});
}

static const struct verdict *
verdict_of(struct rig *rig, bool input)
{
    const struct finding *finding;

    rig_run(rig);
    finding = rig_finding(rig, check, input ? 0 : -1, input ? -1 : 0);
    assert_non_null(finding);
    return &finding->verdict;
}

/* Valid until the next call. */
static const char *
says_of(struct rig *rig, bool input)
{
    static struct words words;

    verdict_of(rig, input);
    engine_words(rig->engine, rig_finding(rig, check, input ? 0 : -1, input ? -1 : 0), &words);
    return words.says;
}

static void
not_asked_without_an_approved_desk(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 2, 2);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 60);
    assert_int_equal(input_outcome(rig), OUTCOME_NOT_ASKED);
    assert_int_equal(mix_outcome(rig), OUTCOME_NOT_ASKED);
    start(rig);
    assert_int_equal(input_outcome(rig), OUTCOME_PASS);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 36);
    assert_int_equal(input_outcome(rig), OUTCOME_FINDING);
    engine_set_approved(rig->engine, NULL);
    assert_int_equal(input_outcome(rig), OUTCOME_NOT_ASKED);
}

/* The whole table of parameters: moved far, each is drift exactly when its class says so. */
static void
each_kind_of_drift_and_none_of_riding(void **state)
{
    struct rig *rig = *state;

    for (int id = 0; id < PARAMS; id++) {
        enum param_id param = (enum param_id)id;
        bool input = params[id].row == INDEX_INPUT, mix = params[id].row == INDEX_MIX;
        double number;
        enum outcome expected;

        start(rig);
        if (!(input || mix) || params[id].unit == UNIT_TEXT ||
            desk_supplied(rig->desk, param) == SUPPLY_NONE)
            continue;
        expected = difference_is_drift(params[param].class) ? OUTCOME_FINDING : OUTCOME_PASS;
        rig_set(rig, PARAM_MIX_HIGH_PASS_ON, 0, 0, 1); /* so that its corner counts */
        rig_set(rig, PARAM_INPUT_COMP_ON, 0, 0, 1);
        engine_set_approved(rig->engine, desk_copy(rig->desk));
        number = value_last_heard(desk_value(rig->desk, param, 0, 0));
        number = params[id].unit == UNIT_SWITCH   ? 1 - number
                 : number == -HUGE_VAL            ? 0
                 : number + 10 <= params[id].most ? number + 10
                                                  : params[id].least;
        if (params[id].unit == UNIT_WORD)
            number = 2;
        rig_set(rig, param, 0, 0, number);
        assert_row(params[id].name,
                   outcome_of(rig, input ? (struct object){0, -1} : (struct object){-1, 0}),
                   expected);
    }
}

static void
how_far_counts(void **state)
{
    struct rig *rig = *state;

    start(rig);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 30.9);
    assert_int_equal(input_outcome(rig), OUTCOME_PASS);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 31);
    assert_int_equal(verdict_of(rig, true)->weight, WEIGHT_NOTE);
    assert_string_equal(says_of(rig, true), "moved since it was approved: preamp 30 -> 31 dB");
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 24);
    assert_int_equal(verdict_of(rig, true)->weight, WEIGHT_FIX);
    assert_near(rig_figure(verdict_of(rig, true), "moved_db"), 6, 0);
    assert_near(rig_figure(verdict_of(rig, true), "moved_count"), 1, 0);
    /* sends and faders are ridden */
    start(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 10);
    rig_set(rig, PARAM_INPUT_FADER, 0, 0, -40);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -40);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    assert_int_equal(input_outcome(rig), OUTCOME_PASS);
    assert_int_equal(mix_outcome(rig), OUTCOME_PASS);
}

static void
limiters_and_phantom_are_to_fix(void **state)
{
    struct rig *rig = *state;

    start(rig);
    rig_set(rig, PARAM_INPUT_PHANTOM, 0, 0, 1);
    assert_int_equal(verdict_of(rig, true)->weight, WEIGHT_FIX);
    rig_set(rig, PARAM_MIX_LIMITER_ON, 0, 0, 0);
    assert_int_equal(verdict_of(rig, false)->weight, WEIGHT_FIX);
    assert_contains(says_of(rig, false), "limiter was on, is off");
    start(rig);
    rig_set(rig, PARAM_MIX_LIMITER_THRESHOLD, 0, 0, -5.5);
    assert_int_equal(mix_outcome(rig), OUTCOME_PASS);
    rig_set(rig, PARAM_MIX_LIMITER_THRESHOLD, 0, 0, -4);
    assert_int_equal(verdict_of(rig, false)->weight, WEIGHT_FIX);
    start(rig);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    assert_int_equal(verdict_of(rig, true)->weight, WEIGHT_NOTE);
}

/* The make-up of a compressor that is and was off moves nothing; switched on, it does. */
static void
what_is_switched_off_moves_nothing(void **state)
{
    struct rig *rig = *state;

    start(rig);
    rig_set(rig, PARAM_INPUT_COMP_MAKEUP, 0, 0, 9);
    assert_int_equal(input_outcome(rig), OUTCOME_PASS);
    rig_set(rig, PARAM_INPUT_COMP_ON, 0, 0, 1);
    assert_contains(says_of(rig, true), "make-up 0 -> 9 dB");
    rig_set(rig, PARAM_MIX_HIGH_PASS_FREQ, 0, 0, 200);
    assert_int_equal(mix_outcome(rig), OUTCOME_PASS);
}

static void
some_are_named_and_the_rest_counted(void **state)
{
    struct rig *rig = *state;
    const char *says;

    start(rig);
    for (int band = 0; band < 9; band++)
        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, -3);
    rig_set(rig, PARAM_MIX_LIMITER_ON, 0, 0, 0);
    says = says_of(rig, false);
    assert_contains(says, "graphic 20 Hz 0 -> -3 dB; graphic 25 Hz 0 -> -3 dB");
    assert_contains(says, "; and 6 more");
    assert_near(rig_figure(verdict_of(rig, false), "moved_count"), 10, 0);
}

static void
what_is_missing_on_either_side_is_not_known(void **state)
{
    struct rig *rig = *state;
    struct desk *approved;

    start(rig);
    rig_stale(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0);
    assert_int_equal(input_outcome(rig), OUTCOME_NOT_KNOWN);
    start(rig);
    approved = desk_copy(rig->desk);
    assert_non_null(approved);
    desk_supply(approved, PARAM_MIX_LIMITER_THRESHOLD, SUPPLY_HEARD);
    engine_set_approved(rig->engine, approved);
    assert_int_equal(mix_outcome(rig), OUTCOME_NOT_KNOWN);
    assert_int_equal(input_outcome(rig), OUTCOME_PASS);
    /* what did move is told all the same */
    rig_set(rig, PARAM_MIX_LIMITER_ON, 0, 0, 0);
    assert_int_equal(mix_outcome(rig), OUTCOME_FINDING);
    /* and missing data closes nothing */
    rig_stale(rig, PARAM_MIX_LIMITER_ON, 0, 0);
    assert_int_equal(mix_outcome(rig), OUTCOME_NOT_KNOWN);
    assert_true(rig_finding(rig, check, -1, 0)->life.frozen);
}

/* A change runs the check only when the check says that it reads it. */
static void
its_list_holds_all_drift(void **state)
{
    (void)state;
    for (int id = 0; id < PARAMS; id++) {
        bool mix = params[id].row == INDEX_MIX, listed = false;

        if (!difference_is_drift(params[id].class))
            continue;
        for (const enum param_id *at = check_reads(check_set_all.of[check_find(check)], mix);
             *at != PARAMS; at++)
            listed |= *at == (enum param_id)id;
        assert_row(params[id].name, listed, true);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(not_asked_without_an_approved_desk),
        RIG_TEST(each_kind_of_drift_and_none_of_riding),
        RIG_TEST(how_far_counts),
        RIG_TEST(limiters_and_phantom_are_to_fix),
        RIG_TEST(what_is_switched_off_moves_nothing),
        RIG_TEST(some_are_named_and_the_rest_counted),
        RIG_TEST(what_is_missing_on_either_side_is_not_known),
        RIG_TEST(its_list_holds_all_drift),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
