/* SPDX-License-Identifier: MIT */
/* Findings that the engineer lives with: up to a value, until a day. */
#include "unit.h"

#include <math.h>

#include "rig.h"

enum { TODAY = 20300101 }; /* as the rig has it */

static const char preamp[] = "unused-preamp-gain";
static const char master[] = "master-off-unity";

/* The surplus of input 1 is accepted up to 10 dB, until `until`. */
static struct rig *
start(void **state, int until)
{
    struct rig *rig = *state;
    const struct accept accept = {
        .check = check_find(preamp), .input = 0, .mix = -1, .up_to = 10, .until = until};

    rig_start_accepts(rig, 2, 2, &accept, 1);
    rig_run(rig);
    return rig;
}

/* The events of this check in the last run. */
static int
told(const struct rig *rig)
{
    return rig_told(rig, preamp, EVENT_RAISED) + rig_told(rig, preamp, EVENT_WORSE) +
           rig_told(rig, preamp, EVENT_CLEARED);
}

static void
set_surplus(struct rig *rig, int input, double db)
{
    rig->now_ms += 1000;
    rig_set(rig, PARAM_SEND_LEVEL, input, 0, -db);
    rig_run(rig);
}

static void
set_day(struct rig *rig, int day)
{
    rig->now_ms += 1000;
    engine_set_day(rig->engine, day);
    rig_run(rig);
}

/* It is open and listed as accepted, and nothing is told of it, not even its end. */
static void
accepted_finding_is_silent(void **state)
{
    struct rig *rig = start(state, 0);

    set_surplus(rig, 0, 8);
    assert_int_equal(told(rig), 0);
    assert_int_equal(rig_finding(rig, preamp, 0, -1)->accept, 0);
    set_surplus(rig, 0, 10); /* the limit itself is accepted */
    assert_int_equal(told(rig), 0);
    set_surplus(rig, 0, 0);
    assert_int_equal(told(rig), 0);
    assert_null(rig_finding(rig, preamp, 0, -1));
}

static void
worse_than_accepted_comes_back(void **state)
{
    struct rig *rig = start(state, 0);

    set_surplus(rig, 0, 8);
    set_surplus(rig, 0, 10.01);
    assert_int_equal(rig_told(rig, preamp, EVENT_RAISED), 1);
    assert_int_equal(rig_finding(rig, preamp, 0, -1)->accept, -1);
    set_surplus(rig, 0, 0);
    assert_int_equal(rig_told(rig, preamp, EVENT_CLEARED), 1);
}

/* Opening may be kept quiet, closing never: what was told as open is told as closed, also when it
 * ends by way of being accepted again. */
static void
what_was_told_open_is_told_closed(void **state)
{
    struct rig *rig = start(state, 0);
    int cleared = 0;

    set_surplus(rig, 0, 14);
    assert_int_equal(rig_told(rig, preamp, EVENT_RAISED), 1);
    set_surplus(rig, 0, 8);
    assert_int_equal(rig_finding(rig, preamp, 0, -1)->accept, 0);
    cleared += rig_told(rig, preamp, EVENT_CLEARED);
    set_surplus(rig, 0, 0);
    cleared += rig_told(rig, preamp, EVENT_CLEARED);
    assert_int_equal(cleared, 1);
}

static void
accept_covers_its_own_object_and_check_only(void **state)
{
    struct rig *rig = start(state, 0);

    set_surplus(rig, 1, 8);
    assert_int_equal(rig_told(rig, preamp, EVENT_RAISED), 1);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -3);
    rig_run(rig);
    assert_int_equal(rig_told(rig, master, EVENT_RAISED), 1);
}

/* The last day is still covered; the next is not, and then the finding is told, as new. */
static void
accept_ends_after_its_last_day(void **state)
{
    struct rig *rig = start(state, TODAY);

    set_surplus(rig, 0, 8);
    assert_int_equal(told(rig), 0);
    assert_false(engine_accept_expired(rig->engine, 0));
    set_day(rig, TODAY + 1);
    assert_true(engine_accept_expired(rig->engine, 0));
    assert_int_equal(told(rig), 1);
    for (int i = 0; i < rig->event_count; i++)
        if (rig->events[i].check == check_find(preamp)) {
            assert_int_equal(rig->events[i].kind, EVENT_RAISED);
            assert_int_equal(rig->events[i].lasted_ms, 0);
        }
    assert_int_equal(rig_finding(rig, preamp, 0, -1)->accept, -1);
}

/* 20291231 is before 20300101 though its last digits are larger. */
static void
days_are_compared_as_dates(void **state)
{
    struct rig *rig = start(state, 20291231);

    assert_true(engine_accept_expired(rig->engine, 0));
    set_surplus(rig, 0, 8);
    assert_int_equal(rig_told(rig, preamp, EVENT_RAISED), 1);
}

static void
accept_without_an_end_never_expires(void **state)
{
    struct rig *rig = start(state, 0);

    set_day(rig, 99991231);
    assert_false(engine_accept_expired(rig->engine, 0));
}

/* An accept that matches nothing is probably a slip; one that matched is in use even when it has
 * expired or the finding has grown out of it. */
static void
accept_is_idle_until_a_finding_matches(void **state)
{
    struct rig *rig = start(state, 20291231);

    assert_true(engine_accept_idle(rig->engine, 0));
    set_surplus(rig, 1, 20);
    assert_true(engine_accept_idle(rig->engine, 0));
    set_surplus(rig, 0, 20);
    assert_false(engine_accept_idle(rig->engine, 0));
    set_surplus(rig, 0, 0);
    assert_false(engine_accept_idle(rig->engine, 0));
}

/* An accept that names a mix covers the mix's own findings, and those of inputs that show in it. */
static void
accept_of_a_mix_covers_what_shows_in_it(void **state)
{
    struct rig *rig = *state;
    const struct accept accepts[] = {
        {.check = check_find(master), .input = -1, .mix = 1, .up_to = HUGE_VAL},
        {.check = check_find(preamp), .input = -1, .mix = 1, .up_to = HUGE_VAL}};

    rig_start_accepts(rig, 2, 2, accepts, 2);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -3);
    rig_set(rig, PARAM_MIX_FADER, 1, 0, -3);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -20);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 1, -20);
    rig_run(rig);
    assert_int_equal(rig_finding(rig, master, -1, 0)->accept, -1);
    assert_int_equal(rig_finding(rig, master, -1, 1)->accept, 0);
    assert_int_equal(rig_finding(rig, preamp, 0, -1)->accept, -1);
    assert_int_equal(rig_finding(rig, preamp, 1, -1)->accept, 1);
    assert_int_equal(rig_told(rig, master, EVENT_RAISED), 1);
    assert_int_equal(rig_told(rig, preamp, EVENT_RAISED), 1);
}

/* Two accepts for one finding: the one that reaches far enough counts. */
static void
of_several_accepts_one_is_enough(void **state)
{
    struct rig *rig = *state;
    const struct accept accepts[] = {
        {.check = check_find(preamp), .input = 0, .mix = -1, .up_to = 7},
        {.check = check_find(preamp), .input = -1, .mix = -1, .up_to = HUGE_VAL}};

    rig_start_accepts(rig, 2, 2, accepts, 2);
    set_surplus(rig, 0, 20);
    assert_int_equal(rig_finding(rig, preamp, 0, -1)->accept, 1);
    assert_int_equal(told(rig), 0);
    assert_false(engine_accept_idle(rig->engine, 0));
}

/* Stale ground under an accepted finding: still silent, still listed. */
static void
unknown_freezes_an_accepted_finding_too(void **state)
{
    struct rig *rig = start(state, 0);

    set_surplus(rig, 0, 8);
    rig_stale(rig, PARAM_SEND_LEVEL, 0, 0);
    rig_run(rig);
    assert_int_equal(told(rig), 0);
    assert_true(rig_finding(rig, preamp, 0, -1)->life.frozen);
    assert_int_equal(rig_finding(rig, preamp, 0, -1)->accept, 0);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(accepted_finding_is_silent),
        RIG_TEST(worse_than_accepted_comes_back),
        RIG_TEST(what_was_told_open_is_told_closed),
        RIG_TEST(accept_covers_its_own_object_and_check_only),
        RIG_TEST(accept_ends_after_its_last_day),
        RIG_TEST(days_are_compared_as_dates),
        RIG_TEST(accept_without_an_end_never_expires),
        RIG_TEST(accept_is_idle_until_a_finding_matches),
        RIG_TEST(accept_of_a_mix_covers_what_shows_in_it),
        RIG_TEST(of_several_accepts_one_is_enough),
        RIG_TEST(unknown_freezes_an_accepted_finding_too),
    };

    return cmocka_run_group_tests_name("engine_accept", tests, NULL, NULL);
}
