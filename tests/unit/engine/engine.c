/* SPDX-License-Identifier: MIT */
/* What is marked, what is told, and what freezes. Accepted findings: engine_accept.c. */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "proof/kept.h"
#include "rig.h"

enum { INPUTS = 4, MIXES = 3 };

static const char preamp[] = "unused-preamp-gain";

/* Four inputs, the third into each of three mixes, run once. */
static struct rig *
start(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, INPUTS, MIXES);
    for (int mix = 0; mix < MIXES; mix++)
        rig_set(rig, PARAM_SEND_LEVEL, 2, mix, 0);
    rig_run(rig);
    return rig;
}

/* ---- marks ---- */

static bool
reads(const enum param_id *list, enum param_id id)
{
    for (const enum param_id *read = list; *read != PARAMS; read++)
        if (*read == id)
            return true;
    return false;
}

/* Mix 1 and, where the other ear may be a neighbour, mix 2. */
static size_t
mixes_of(const struct check *check)
{
    if (check->spread == SPREAD_MIXES)
        return MIXES;
    return check->spread == SPREAD_PAIR && MIXES > 1 ? 2 : 1;
}

/* Whether something is proved on the rig: else nothing marks what rests on it. */
static bool proved;

/* How many objects of the check a change of (id, row 0, column 0) can touch: those with the same
 * input or mix, or all of a kind that the parameter has no index for; of a group the input that
 * belongs to it and the mix which that reaches from behind its fader. */
static size_t
touched(const struct check *check, enum param_id id)
{
    bool group = params[id].row == INDEX_GROUP;
    bool input = group || (params[id].row == INDEX_INPUT && id != PARAM_INPUT_PREAMP);
    bool mix = group || params[id].row == INDEX_MIX || params[id].column == INDEX_MIX;
    size_t count = 0;

    /* the rig has no plan and hears no spectra */
    if (check->of_plan || check->of_spectra || (check->of_proofs && !proved))
        return 0;
    if (!reads(check->reads, id)) {
        assert_false(check->mix_reads && reads(check->mix_reads, id));
        return 0;
    }
    count += check->objects & OBJECT_DESK ? 1 : 0;
    count += check->objects & OBJECT_INPUT ? input ? 1 : INPUTS : 0;
    if (!check->mix_reads || reads(check->mix_reads, id))
        count += check->objects & OBJECT_MIX ? mix ? mixes_of(check) : MIXES : 0;
    return count;
}

static size_t
touched_of_all(enum param_id id)
{
    size_t count = 0;

    for (int check = 0; check < CHECKS; check++)
        count += touched(check_set_all.of[check], id);
    return count;
}

/* A legal value other than the neutral one. */
static void
change(struct rig *rig, enum param_id id)
{
    double number = value_last_heard(desk_value(rig->desk, id, 0, 0));

    if (params[id].unit == UNIT_TEXT)
        rig_set_text(rig, id, 0, "Another");
    else if (params[id].unit == UNIT_SWITCH)
        rig_set(rig, id, 0, 0, 1 - number);
    else
        rig_set(rig, id, 0, 0, number == -HUGE_VAL || number >= 24000 ? 20 : number + 1);
}

static void
everything_runs_once_at_first(void **state)
{
    struct rig *rig = *state;
    size_t all = 0;

    rig_start(rig, INPUTS, MIXES);
    for (int check = 0; check < CHECKS; check++) {
        if (check_set_all.of[check]->of_plan)
            continue;
        all += check_set_all.of[check]->objects & OBJECT_DESK ? 1 : 0;
        all += check_set_all.of[check]->objects & OBJECT_INPUT ? INPUTS : 0;
        all += check_set_all.of[check]->objects & OBJECT_MIX ? MIXES : 0;
    }
    rig_run(rig);
    assert_int_equal(rig->ran, all);
    rig_run(rig);
    assert_int_equal(rig->ran, 0);
}

static void
only_what_reads_a_value_runs(void **state)
{
    struct rig *rig = *state;

    for (int i = 0; i < PARAMS; i++) {
        enum param_id id = (enum param_id)i;

        if (param_is_of_spectrum(id))
            continue;
        rig_start(rig, INPUTS, MIXES);
        if (id == PARAM_INPUT_PREAMP) {
            rig_forget(rig, id, SUPPLY_HEARD);
            for (int input = 0; input < INPUTS; input++)
                rig_set(rig, id, input, 0, input);
        }
        if (id == PARAM_MIX_GRAPHIC_BAND_FREQ)
            rig_forget(rig, id, SUPPLY_HEARD);
        if (params[id].row == INDEX_GROUP) {
            rig_set(rig, PARAM_INPUT_GROUP, 0, 0, 1);
            rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_POST_FADER);
        }
        rig_run(rig);
        change(rig, id);
        rig_run(rig);
        assert_row(params[id].name, rig->ran, touched_of_all(id));
    }
}

/* Where something is proved, a send of one mix can take the proof of every other. */
static void
a_proof_is_marked_for_every_mix(void **state)
{
    struct rig *rig = start(state);
    struct proof_ceiling ceiling = {.desk = desk_copy(rig->desk), .mix = -1};
    struct proofs proofs = {.ceilings = &ceiling, .ceiling_count = 1};
    size_t without = touched_of_all(PARAM_SEND_LEVEL);

    engine_set_proofs(rig->engine, &proofs);
    rig_run(rig);
    proved = true;
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -3);
    rig_run(rig);
    assert_int_equal(touched_of_all(PARAM_SEND_LEVEL), without + MIXES);
    assert_int_equal(rig->ran, without + MIXES);
    proved = false;
    engine_set_proofs(rig->engine, NULL);
    rig_run(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -4);
    rig_run(rig);
    assert_int_equal(rig->ran, without);
    desk_free(ceiling.desk);
}

static void
same_value_marks_nothing(void **state)
{
    struct rig *rig = start(state);

    rig->now_ms += 1000;
    assert_int_equal(engine_hear(rig->engine, PARAM_MIX_FADER, 0, 0, 0, rig->now_ms), CHANGE_SAME);
    assert_int_equal(engine_hear_text(rig->engine, PARAM_MIX_NAME, 0, 0, "Mix 1", rig->now_ms),
                     CHANGE_SAME);
    rig_run(rig);
    assert_int_equal(rig->ran, 0);
}

static void
refused_value_marks_nothing(void **state)
{
    struct rig *rig = start(state);

    assert_int_equal(engine_hear(rig->engine, PARAM_MIX_FADER, 0, 0, NAN, rig->now_ms),
                     CHANGE_REFUSED);
    assert_int_equal(engine_hear(rig->engine, PARAM_MIX_FADER, MIXES, 0, 0, rig->now_ms),
                     CHANGE_REFUSED);
    assert_int_equal(engine_hear_text(rig->engine, PARAM_MIX_NAME, -1, 0, "x", rig->now_ms),
                     CHANGE_REFUSED);
    rig_run(rig);
    assert_int_equal(rig->ran, 0);
}

/* A fader ridden a hundred times between two wake-ups costs what one move costs. */
static void
many_changes_in_one_wake_up_run_a_check_once(void **state)
{
    struct rig *rig = start(state);
    size_t once;

    rig_set(rig, PARAM_MIX_FADER, 0, 0, -1);
    rig_run(rig);
    once = rig->ran;
    assert_true(once > 0);
    for (int i = 0; i < 100; i++)
        rig_set(rig, PARAM_MIX_FADER, 0, 0, -2 - i / 10.0);
    rig_run(rig);
    assert_int_equal(rig->ran, once);
    assert_int_equal(rig_told(rig, "master-off-unity", EVENT_WORSE), 1);
}

/* One microphone on three channels: the checks that look at all of them are marked for all, once.
 */
static void
shared_preamp_marks_all_that_share_it(void **state)
{
    struct rig *rig = *state;
    size_t two_changed = 0, spreading = 0;

    rig_start(rig, INPUTS, MIXES);
    rig_forget(rig, PARAM_INPUT_PREAMP, SUPPLY_HEARD);
    for (int input = 0; input < INPUTS; input++)
        rig_set(rig, PARAM_INPUT_PREAMP, input, 0, input < 3 ? 5 : 6);
    rig_run(rig);
    rig_set(rig, PARAM_INPUT_TRIM, 3, 0, 1);
    rig_run(rig);
    assert_int_equal(rig->ran, touched_of_all(PARAM_INPUT_TRIM));
    for (int check = 0; check < CHECKS; check++) {
        size_t inputs = check_set_all.of[check]->spread == SPREAD_PREAMP ? 3 : 2;

        if (check_set_all.of[check]->of_proofs || check_set_all.of[check]->of_plan ||
            check_set_all.of[check]->of_spectra ||
            !reads(check_set_all.of[check]->reads, PARAM_INPUT_TRIM))
            continue;
        spreading += check_set_all.of[check]->spread == SPREAD_PREAMP;
        two_changed += check_set_all.of[check]->objects & OBJECT_DESK ? 1 : 0;
        two_changed += check_set_all.of[check]->objects & OBJECT_INPUT ? inputs : 0;
        two_changed += check_set_all.of[check]->objects & OBJECT_MIX &&
                               reads(check_reads(check_set_all.of[check], true), PARAM_INPUT_TRIM)
                           ? MIXES
                           : 0;
    }
    assert_true(spreading > 0);
    rig_set(rig, PARAM_INPUT_TRIM, 1, 0, 1);
    rig_set(rig, PARAM_INPUT_TRIM, 2, 0, 1);
    rig_run(rig);
    assert_int_equal(rig->ran, two_changed);
}

static void
stale_value_marks_what_reads_it(void **state)
{
    struct rig *rig = start(state);

    rig_stale(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 1, 7);
    rig_run(rig);
    assert_int_equal(rig->ran, touched_of_all(PARAM_MIX_GRAPHIC_BAND_GAIN));
    assert_true(rig->ran > 0);
}

static void
new_day_marks_everything(void **state)
{
    struct rig *rig = start(state);
    size_t all;

    rig_remark(rig);
    rig_run(rig);
    all = rig->ran;
    assert_true(all > 0);
    engine_set_day(rig->engine, rig->day);
    rig_run(rig);
    assert_int_equal(rig->ran, 0);
}

static void
check_that_is_off_says_nothing(void **state)
{
    struct rig *rig = *state;
    int check = CHECK_MASTER_OFF_UNITY;

    rig_start(rig, INPUTS, MIXES);
    rig->show->checks[check].off = true;
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -20);
    rig_run(rig);
    assert_null(rig_finding(rig, "master-off-unity", -1, 0));
    assert_int_equal(engine_count(rig->engine, check, OUTCOME_NOT_ASKED), MIXES);
}

/* ---- edges ---- */

/* Input 1 sends this much too little. */
static void
set_surplus(struct rig *rig, double db)
{
    rig->now_ms += 1000;
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -db);
    rig_run(rig);
}

/* The events of this check in the last run. */
static int
told(const struct rig *rig)
{
    return rig_told(rig, preamp, EVENT_RAISED) + rig_told(rig, preamp, EVENT_WORSE) +
           rig_told(rig, preamp, EVENT_CLEARED);
}

/* The one event of this check in the last run, or a failure. */
static const struct rig_event *
only_event(const struct rig *rig)
{
    int i = 0;

    assert_int_equal(told(rig), 1);
    while (rig->events[i].check != check_find(preamp))
        i++;
    return &rig->events[i];
}

static void
finding_is_raised_and_cleared_once(void **state)
{
    struct rig *rig = start(state);

    set_surplus(rig, 8);
    assert_int_equal(only_event(rig)->kind, EVENT_RAISED);
    assert_int_equal(only_event(rig)->lasted_ms, 0);
    assert_int_equal(only_event(rig)->object.input, 0);
    assert_near(only_event(rig)->verdict.severity, 8, 1e-9);
    rig_remark(rig);
    rig_run(rig);
    assert_int_equal(told(rig), 0);
    set_surplus(rig, 8.5);
    assert_int_equal(told(rig), 0);
    set_surplus(rig, 0);
    assert_int_equal(only_event(rig)->kind, EVENT_CLEARED);
    assert_int_equal(only_event(rig)->lasted_ms, 2000);
    assert_null(rig_finding(rig, preamp, 0, -1));
    /* a second time it is a new finding with a time of its own */
    set_surplus(rig, 8);
    assert_int_equal(only_event(rig)->kind, EVENT_RAISED);
    assert_int_equal(only_event(rig)->lasted_ms, 0);
}

/* Worse by 3 dB since it was told, in one leap or crept up to. */
static void
finding_is_told_again_when_it_is_worse(void **state)
{
    struct rig *rig = start(state);

    rig->show->checks[check_find(preamp)].settings[1] = 40;
    set_surplus(rig, 8);
    set_surplus(rig, 10);
    assert_int_equal(told(rig), 0);
    set_surplus(rig, 10.9);
    assert_int_equal(told(rig), 0);
    set_surplus(rig, 11);
    assert_int_equal(only_event(rig)->kind, EVENT_WORSE);
    assert_int_equal(only_event(rig)->lasted_ms, 3000);
    assert_near(only_event(rig)->verdict.severity, 11, 1e-9);
    set_surplus(rig, 13.9);
    assert_int_equal(told(rig), 0);
    set_surplus(rig, 30);
    assert_int_equal(only_event(rig)->kind, EVENT_WORSE);
}

static void
heavier_weight_is_worse(void **state)
{
    struct rig *rig = start(state);

    set_surplus(rig, 11.5);
    assert_int_equal(only_event(rig)->verdict.weight, WEIGHT_NOTE);
    set_surplus(rig, 12);
    assert_int_equal(only_event(rig)->kind, EVENT_WORSE);
    assert_int_equal(only_event(rig)->verdict.weight, WEIGHT_FIX);
    /* back and forth over the edge is told once */
    set_surplus(rig, 11.5);
    assert_int_equal(told(rig), 0);
    set_surplus(rig, 12);
    assert_int_equal(told(rig), 0);
}

static void
better_is_not_told(void **state)
{
    struct rig *rig = start(state);

    set_surplus(rig, 20);
    set_surplus(rig, 7);
    assert_int_equal(told(rig), 0);
    assert_near(rig_finding(rig, preamp, 0, -1)->verdict.severity, 7, 1e-9);
    set_surplus(rig, 19);
    assert_int_equal(told(rig), 0);
}

/* ---- unknown ---- */

static void
unknown_neither_raises_nor_clears(void **state)
{
    struct rig *rig = start(state);
    const struct finding *finding;

    set_surplus(rig, 8);
    rig_stale(rig, PARAM_SEND_LEVEL, 0, 0);
    rig_run(rig);
    assert_int_equal(told(rig), 0);
    finding = rig_finding(rig, preamp, 0, -1);
    assert_true(finding->life.frozen);
    assert_near(finding->verdict.severity, 8, 1e-9);
    assert_int_equal(engine_count(rig->engine, check_find(preamp), OUTCOME_NOT_KNOWN), 1);
    set_surplus(rig, 0);
    assert_int_equal(only_event(rig)->kind, EVENT_CLEARED);
    assert_int_equal(only_event(rig)->lasted_ms, 61000);
}

struct unknown_search {
    int check;
    struct object object;
    int found;
    char why[200];
};

static void
search_unknown(void *context, const struct check *check, struct object object, const char *why)
{
    struct unknown_search *search = context;

    if (check->number != search->check || object.input != search->object.input ||
        object.mix != search->object.mix)
        return;
    search->found++;
    strcpy(search->why, why);
}

static void
what_is_unknown_is_listed_with_its_reason(void **state)
{
    struct rig *rig = start(state);
    struct unknown_search search = {CHECK_MASTER_OFF_UNITY, {-1, 2}, 0, ""};

    engine_unknown(rig->engine, search_unknown, &search);
    assert_int_equal(search.found, 0);
    rig_stale(rig, PARAM_MIX_FADER, 2, 0);
    rig_run(rig);
    engine_unknown(rig->engine, search_unknown, &search);
    assert_int_equal(search.found, 1);
    assert_string_equal(search.why, "mix.fader of mix 3 is stale");
}

/* ---- lists ---- */

/* Worst first; of equal weight by check, then by input, then by mix. */
static void
findings_come_worst_first(void **state)
{
    struct rig *rig = start(state);
    const struct finding *const *findings;
    size_t count;

    rig_set(rig, PARAM_MIX_FADER, 1, 0, -2);  /* note */
    rig_set(rig, PARAM_MIX_FADER, 2, 0, -20); /* fix */
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -3);  /* note */
    rig_set(rig, PARAM_SEND_LEVEL, 3, 0, 6);  /* own send: note */
    rig_run(rig);
    count = engine_findings(rig->engine, &findings);
    assert_true(count >= 4);
    assert_int_equal(findings[0]->object.mix, 2);
    assert_int_equal(findings[0]->verdict.weight, WEIGHT_FIX);
    for (size_t i = 1; i < count; i++) {
        const struct finding *one = findings[i - 1], *next = findings[i];

        assert_true(one->verdict.weight >= next->verdict.weight);
        if (one->verdict.weight != next->verdict.weight)
            continue;
        assert_true(one->check->number <= next->check->number);
        if (one->check == next->check)
            assert_true(
                one->object.input < next->object.input ||
                (one->object.input == next->object.input && one->object.mix < next->object.mix));
    }
}

static void
outcomes_are_counted(void **state)
{
    struct rig *rig = start(state);
    int check = CHECK_MASTER_OFF_UNITY;
    size_t sum = 0;

    rig_set(rig, PARAM_MIX_FADER, 1, 0, -2);
    rig_run(rig);
    assert_int_equal(engine_count(rig->engine, check, OUTCOME_PASS), MIXES - 1);
    assert_int_equal(engine_count(rig->engine, check, OUTCOME_FINDING), 1);
    for (int outcome = 0; outcome < OUTCOMES; outcome++)
        sum += engine_count(rig->engine, check, (enum outcome)outcome);
    assert_int_equal(sum, MIXES);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(everything_runs_once_at_first),
        RIG_TEST(only_what_reads_a_value_runs),
        RIG_TEST(a_proof_is_marked_for_every_mix),
        RIG_TEST(same_value_marks_nothing),
        RIG_TEST(refused_value_marks_nothing),
        RIG_TEST(many_changes_in_one_wake_up_run_a_check_once),
        RIG_TEST(shared_preamp_marks_all_that_share_it),
        RIG_TEST(stale_value_marks_what_reads_it),
        RIG_TEST(new_day_marks_everything),
        RIG_TEST(check_that_is_off_says_nothing),
        RIG_TEST(finding_is_raised_and_cleared_once),
        RIG_TEST(finding_is_told_again_when_it_is_worse),
        RIG_TEST(heavier_weight_is_worse),
        RIG_TEST(better_is_not_told),
        RIG_TEST(unknown_neither_raises_nor_clears),
        RIG_TEST(what_is_unknown_is_listed_with_its_reason),
        RIG_TEST(findings_come_worst_first),
        RIG_TEST(outcomes_are_counted),
    };

    return cmocka_run_group_tests_name("engine", tests, NULL, NULL);
}
