/* SPDX-License-Identifier: MIT */
/* Findings that were told before a restart: of every check, on every kind of object, whatever is
 * told of them. They have no figures, so that nothing that needs one may be made of them.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/json.h"
#include "check/check.h"
#include "engine/teach.h"
#include "report/report.h"
#include "rig.h"
#include "unit.h"

enum { INPUTS = 3, MIXES = 2, HOUR_MS = 3600000 };

static void
restore(struct rig *rig, const struct finding *finding)
{
    struct told told = {finding->check->number, finding->object, WEIGHT_FIX, 7, -HOUR_MS,
                        "it was told like so",  "put it back"};

    assert_int_equal(engine_restore(rig->engine, &told), finding->slot);
}

static void
assert_text(const struct json *json, const char *key, const char *text)
{
    assert_string_equal(json_string(json_get(json, key)), text);
}

static void
none_has_a_worked_example_but_its_texts(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, INPUTS, MIXES);
    for (size_t slot = 0; slot < engine_slots(rig->engine); slot++) {
        const struct finding *finding = engine_slot(rig->engine, slot);
        struct json *json;

        restore(rig, finding);
        json = report_finding_json(rig->engine, finding, NULL);
        assert_row(finding->check->id, json_get(json, "worked") == NULL, true);
        assert_null(json_first(json_get(json, "figures")));
        assert_text(json, "says", "it was told like so");
        assert_text(json, "do", "put it back");
        json_free(json);
    }
}

static void
one_that_was_judged_has_one(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, INPUTS, MIXES);
    for (size_t slot = 0; slot < engine_slots(rig->engine); slot++) {
        struct finding finding = *engine_slot(rig->engine, slot);
        struct json *json;

        teach_sample(finding.check, &finding.verdict, NULL);
        finding.verdict.mix = finding.verdict.band = -1;
        json = report_finding_json(rig->engine, &finding, NULL);
        assert_row(finding.check->id, json_get(json, "worked") != NULL, true);
        assert_row(finding.check->id, json_first(json_get(json, "figures")) != NULL, true);
        json_free(json);
    }
}

static void
count_cleared(void *context, const struct event *event)
{
    size_t *counts = context;

    counts[event->kind]++;
    if (event->kind == EVENT_CLEARED)
        assert_row(event->finding->check->id, event->lasted_ms >= HOUR_MS, true);
}

/* On a desk where all is right each ends once, with how long it was open, unless it cannot be
 * judged there. */
static void
each_ends_once_or_stays_unknown(void **state)
{
    struct rig *rig = *state;
    size_t counts[3] = {0}, open = 0, slots;

    rig_start(rig, INPUTS, MIXES);
    slots = engine_slots(rig->engine);
    for (size_t slot = 0; slot < slots; slot++)
        restore(rig, engine_slot(rig->engine, slot));
    for (int i = 0; i < 3; i++)
        engine_run(rig->engine, rig->now_ms += 1000, count_cleared, counts);
    for (size_t slot = 0; slot < slots; slot++) {
        const struct finding *finding = engine_slot(rig->engine, slot);
        enum outcome outcome = engine_outcome(rig->engine, slot);

        open += finding->told;
        assert_row(finding->check->id, finding->told,
                   outcome == OUTCOME_FINDING || outcome == OUTCOME_CLOSED ||
                       outcome == OUTCOME_NOT_KNOWN);
    }
    assert_int_equal(counts[EVENT_RAISED], 0);
    assert_int_equal(counts[EVENT_CLEARED] + open, slots);
    assert_true(counts[EVENT_CLEARED] > slots / 3);
}

/* What the show file turned off meanwhile is over, with how long it was open. */
static void
what_is_off_now_ends(void **state)
{
    struct rig *rig = *state;
    size_t counts[3] = {0}, slots;

    rig_start(rig, INPUTS, MIXES);
    slots = engine_slots(rig->engine);
    for (int check = 0; check < CHECKS; check++)
        rig->show->checks[check].off = true;
    for (size_t slot = 0; slot < slots; slot++)
        restore(rig, engine_slot(rig->engine, slot));
    engine_run(rig->engine, rig->now_ms += 1000, count_cleared, counts);
    assert_int_equal(counts[EVENT_CLEARED], slots);
    engine_run(rig->engine, rig->now_ms += 1000, count_cleared, counts);
    assert_int_equal(counts[EVENT_CLEARED], slots);
    assert_int_equal(counts[EVENT_RAISED], 0);
}

static void
no_other_place_is_taken(void **state)
{
    struct rig *rig = *state;
    struct told told = {0, {INPUTS, -1}, WEIGHT_FIX, 7, 0, "", ""};

    rig_start(rig, INPUTS, MIXES);
    assert_int_equal(engine_restore(rig->engine, &told), engine_slots(rig->engine));
}

/* Longer than any text of ours: cut, and never read past. */
static void
long_texts_are_cut(void **state)
{
    struct rig *rig = *state;
    char text[5000];
    struct told told = {CHECK_MASTER_OFF_UNITY, {-1, 0}, WEIGHT_FIX, 7, 0, text, text};
    struct words words;

    memset(text, 'x', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    rig_start(rig, INPUTS, MIXES);
    engine_words(rig->engine, engine_slot(rig->engine, engine_restore(rig->engine, &told)), &words);
    assert_int_equal(strlen(words.says), sizeof words.says - 1);
    assert_int_equal(strlen(words.cure), sizeof words.cure - 1);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(none_has_a_worked_example_but_its_texts),
        RIG_TEST(one_that_was_judged_has_one),
        RIG_TEST(each_ends_once_or_stays_unknown),
        RIG_TEST(what_is_off_now_ends),
        RIG_TEST(no_other_place_is_taken),
        RIG_TEST(long_texts_are_cut),
    };

    return cmocka_run_group_tests_name("restored", tests, NULL, NULL);
}
