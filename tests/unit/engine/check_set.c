/* SPDX-License-Identifier: MIT */
/* Each engine has its own set of checks: what one lacks another may have, and a test can bring one
 * that nobody else knows. */
#include "rig.h"
#include "unit.h"

#include <stdlib.h>

enum { INPUTS = 3, MIXES = 2 };

static const char *const preamp = "unused-preamp-gain";
static const char *const own_send = "own-send-off-unity";

/* Two rigs side by side. */
struct pair {
    struct rig one, other;
};

static int
make(void **state)
{
    *state = calloc(1, sizeof(struct pair));
    return *state ? 0 : -1;
}

static int
drop(void **state)
{
    struct pair *pair = *state;

    engine_free(pair->one.engine);
    engine_free(pair->other.engine);
    free(pair);
    return 0;
}

static struct check_set
without(enum check_number check)
{
    struct check_set set = check_set_all;

    set.of[check] = NULL;
    return set;
}

/* 42 dB of preamp gain, of which the only send takes 20 away. */
static void
turn_up(struct rig *rig)
{
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ld Vox");
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Ld Vox wedge");
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -20);
    rig_run(rig);
}

static size_t
places(const struct check *check)
{
    int count = (check->objects & OBJECT_DESK ? 1 : 0) +
                (check->objects & OBJECT_INPUT ? INPUTS : 0) +
                (check->objects & OBJECT_MIX ? MIXES : 0);

    return (size_t)count;
}

static void
two_desks_are_looked_at_by_two_sets(void **state)
{
    struct pair *pair = *state;

    rig_start(&pair->one, INPUTS, MIXES);
    rig_start_set(&pair->other, INPUTS, MIXES, without(CHECK_UNUSED_PREAMP_GAIN));
    assert_int_equal(engine_slots(pair->one.engine) - engine_slots(pair->other.engine),
                     places(check_set_all.of[CHECK_UNUSED_PREAMP_GAIN]));
    turn_up(&pair->one);
    turn_up(&pair->other);
    assert_non_null(rig_finding(&pair->one, preamp, 0, -1));
    assert_null(rig_finding(&pair->other, preamp, 0, -1));
    for (int outcome = 0; outcome < OUTCOMES; outcome++)
        assert_int_equal(
            engine_count(pair->other.engine, CHECK_UNUSED_PREAMP_GAIN, (enum outcome)outcome), 0);
    assert_int_equal(
        engine_find(pair->other.engine, CHECK_UNUSED_PREAMP_GAIN, (struct object){0, -1}),
        engine_slots(pair->other.engine));
}

/* The own send folds into the preamp's finding only where somebody tells that one. */
static void
what_a_set_lacks_is_no_cause(void **state)
{
    struct pair *pair = *state;

    rig_start(&pair->one, INPUTS, MIXES);
    rig_start_set(&pair->other, INPUTS, MIXES, without(CHECK_UNUSED_PREAMP_GAIN));
    turn_up(&pair->one);
    turn_up(&pair->other);
    assert_int_equal(rig_judge_input(&pair->one, own_send, 0)->outcome, OUTCOME_FOLDED);
    assert_int_equal(rig_judge_input(&pair->other, own_send, 0)->outcome, OUTCOME_FINDING);
}

/* Values and findings go from one to the other as far as both have the place. */
static void
an_engine_takes_over_what_its_own_set_has(void **state)
{
    struct pair *pair = *state;
    struct finding was;
    const struct finding *is;

    rig_start(&pair->one, INPUTS, MIXES);
    rig_start_set(&pair->other, INPUTS, MIXES, without(CHECK_UNUSED_PREAMP_GAIN));
    rig_set(&pair->one, PARAM_SEND_LEVEL, 1, 1, 0);
    rig_set(&pair->one, PARAM_MIX_FADER, 1, 0, -8);
    turn_up(&pair->one);
    was = *rig_finding(&pair->one, "master-off-unity", -1, 1);
    engine_carry(pair->other.engine, pair->one.engine);
    is = rig_finding(&pair->other, "master-off-unity", -1, 1);
    assert_non_null(is);
    assert_ptr_equal(is, engine_slot(pair->other.engine, is->slot));
    assert_int_equal(is->since_ms, was.since_ms);
    assert_true(is->told);
    assert_null(rig_finding(&pair->other, preamp, 0, -1));
}

/* ---- a check of our own ---- */

enum { LOUD_DB };

static const enum param_id reads[] = {PARAM_GROUP_FADER, PARAMS};

/* A group whose fader is above what the setting allows. */
static void
run(struct look *look, struct object object)
{
    double fader_db = 0;

    (void)object;
    look_number(look, PARAM_GROUP_FADER, 0, 0, &fader_db);
    if (fader_db <= look->settings[LOUD_DB]) {
        look_pass(look);
        return;
    }
    look_found(look, WEIGHT_NOTE, fader_db);
    look_figure(look, "fader_db", fader_db);
}

static void
say(struct wording *wording)
{
    text_add(&wording->says, "the first group stands at %f dB",
             verdict_figure(wording->verdict, "fader_db"));
}

static const struct check group_loud = {
    .id = "group-loud",
    .number = CHECK_LEFT_ON,
    .objects = OBJECT_DESK,
    .reads = reads,
    .settings = {{"loud_db", 3, 0, 10, "level above which it is a note", 0, WEIGHT_NOTE,
                  CREDIT_PRACTICE}},
    .severity = "fader_db",
    .worse_step = 1,
    .run = run,
    .say = say,
};

static void
a_check_of_the_tests_own_runs_with_its_own_presets(void **state)
{
    struct pair *pair = *state;
    struct check_set alone = {.of = {[CHECK_LEFT_ON] = &group_loud}};
    const struct finding *const *findings;
    struct words words;

    rig_start_set(&pair->one, INPUTS, MIXES, alone);
    assert_int_equal(engine_slots(pair->one.engine), 1);
    rig_set(&pair->one, PARAM_GROUP_FADER, 0, 0, 3);
    rig_run(&pair->one);
    assert_int_equal(engine_findings(pair->one.engine, &findings), 0);
    rig_set(&pair->one, PARAM_GROUP_FADER, 0, 0, 4);
    rig_run(&pair->one);
    assert_int_equal(pair->one.ran, 1);
    assert_int_equal(engine_findings(pair->one.engine, &findings), 1);
    assert_ptr_equal(findings[0]->check, &group_loud);
    engine_words(pair->one.engine, findings[0], &words);
    assert_string_equal(words.says, "the first group stands at 4 dB");
    assert_int_equal(pair->one.event_count, 1);
}

static void
a_set_that_stays_looks_at_no_meter_and_estimates_nothing(void **state)
{
    struct check_set set = check_set_lasting(), compared = check_set_compared();

    (void)state;
    for (int i = 0; i < CHECKS; i++) {
        const struct check *check = check_set_all.of[i];

        assert_row(check_name(i), set.of[i] == NULL, check->momentary || check->of_plan);
        assert_row(check_name(i), compared.of[i] == NULL, check->momentary);
    }
    assert_null(set.of[CHECK_INPUT_HOT]);
    assert_null(set.of[CHECK_INPUT_FAINT]);
    assert_null(set.of[CHECK_LOOP_MARGIN]);
    assert_null(set.of[CHECK_MICROPHONE_AIM]);
}

#define PAIR_TEST(name) cmocka_unit_test_setup_teardown(name, make, drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        PAIR_TEST(two_desks_are_looked_at_by_two_sets),
        PAIR_TEST(what_a_set_lacks_is_no_cause),
        PAIR_TEST(an_engine_takes_over_what_its_own_set_has),
        PAIR_TEST(a_check_of_the_tests_own_runs_with_its_own_presets),
        cmocka_unit_test(a_set_that_stays_looks_at_no_meter_and_estimates_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
