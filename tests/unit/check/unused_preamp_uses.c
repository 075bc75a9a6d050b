/* SPDX-License-Identifier: MIT */
/* What counts between preamp and output for unused-preamp-gain besides send, trim and master: the
 * house, make-up, groups, a parked mix and the pad.
 */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "rig.h"

static const char check[] = "unused-preamp-gain";

/* One input at 42 dB of preamp gain into mix 1 of two; preamps travel from -6 to 60 dB, sends to
 * +10. */
static struct rig *
start(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 2, 2);
    rig->show->role = ROLE_MONITOR;
    desk_set_travel(rig->desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){-6, 60});
    desk_set_travel(rig->desk, PARAM_SEND_LEVEL, (struct travel){-60, 10});
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -14);
    return rig;
}

/* What the house hears through the fader is a use of the preamp, too. */
static void
house_path_counts_on_a_house_desk(void **state)
{
    static const struct {
        const char *name;
        double fader_db;
        enum outcome outcome;
        double surplus_db;
    } rows[] = {
        {"fader at 0", 0, OUTCOME_PASS, 0},
        {"fader a little down", -5.9, OUTCOME_PASS, 0},
        {"fader down", -10, OUTCOME_FINDING, 10},
        {"fader below the sends", -20, OUTCOME_FINDING, 14},
        {"fader at off: nothing heard of the house yet", -HUGE_VAL, OUTCOME_CLOSED, 0},
    };
    struct rig *rig = start(state);

    for (size_t i = 0; i < COUNT(rows); i++) {
        rig->show->role = ROLE_HOUSE;
        rig_remark(rig);
        rig_set(rig, PARAM_INPUT_FADER, 0, 0, rows[i].fader_db);
        assert_row(rows[i].name, rig_judge_input(rig, check, 0)->outcome, rows[i].outcome);
        if (rows[i].outcome == OUTCOME_FINDING) {
            assert_near_in(rows[i].name, rig->verdict.severity, rows[i].surplus_db, 1e-9);
            assert_contains(rig->words.says, "the way into the house turns it down again to");
        }
        rig->show->role = ROLE_MONITOR; /* whose main bus nobody hears */
        rig_remark(rig);
        assert_near_in(rows[i].name, rig_judge_input(rig, check, 0)->severity, 14, 1e-9);
    }
}

/* Make-up lies behind the preamp as well, but for a pre-eq tap and a compressor that is out. */
static void
make_up_counts(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -8);
    rig_set(rig, PARAM_INPUT_COMP_MAKEUP, 0, 0, 8);
    assert_near(rig_judge_input(rig, check, 0)->severity, 8, 1e-9);
    rig_set(rig, PARAM_INPUT_COMP_ON, 0, 0, 1);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_EQ);
    assert_near(rig_judge_input(rig, check, 0)->severity, 8, 1e-9);
}

static void
groups_count_behind_the_fader(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -6);
    rig_set(rig, PARAM_INPUT_GROUP, 0, 0, 1);
    rig_set(rig, PARAM_GROUP_FADER, 0, 0, -8);
    assert_near(rig_judge_input(rig, check, 0)->severity, 6, 1e-9); /* a pre-fader send */
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_POST_FADER);
    assert_near(rig_judge_input(rig, check, 0)->severity, 14, 1e-9);
    rig_set(rig, PARAM_GROUP_FADER, 0, 0, 6);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_GROUP_FADER, 0, 0, -8);
    rig_set(rig, PARAM_GROUP_MUTE, 0, 0, 1);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_CLOSED);
}

/* While the mix that needs it most is parked, nobody knows what is unused. */
static void
open_send_into_a_parked_master_forbids_a_verdict(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 0); /* the own wedge */
    rig_set(rig, PARAM_MIX_FADER, 1, 0, -HUGE_VAL);
    assert_int_equal(rig_judge_input(rig, check, 0)->outcome, OUTCOME_CLOSED);
    rig->show->mixes[1].feeds = FEEDS_UNUSED; /* nobody will bring it up */
    rig_remark(rig);
    assert_near(rig_judge_input(rig, check, 0)->severity, 14, 1e-9);
    rig->show->mixes[1].feeds = FEEDS_UNKNOWN;
    rig_remark(rig);
    rig_set(rig, PARAM_SEND_ON, 0, 1, 0);
    assert_near(rig_judge_input(rig, check, 0)->severity, 14, 1e-9);
}

static void
pad_that_the_preamp_makes_up_for_has_its_own_words(void **state)
{
    static const struct {
        const char *name;
        double pad_db, preamp_db, send_db;
        enum outcome outcome;
    } rows[] = {
        {"in, preamp high", 20, 42, 0, OUTCOME_FINDING},
        {"out, preamp high", 0, 42, 0, OUTCOME_PASS},
        {"in, preamp low", 20, 4, 0, OUTCOME_PASS},
        {"in, little more", 20, 25.9, 0, OUTCOME_PASS},
        {"in, just high", 20, 26, 0, OUTCOME_FINDING},
    };
    struct rig *rig = start(state);
    const struct verdict *verdict;

    for (size_t i = 0; i < COUNT(rows); i++) {
        rig_set(rig, PARAM_SEND_LEVEL, 0, 0, rows[i].send_db);
        rig_set(rig, PARAM_INPUT_PAD, 0, 0, rows[i].pad_db);
        rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, rows[i].preamp_db);
        assert_row(rows[i].name, rig_judge_input(rig, check, 0)->outcome, rows[i].outcome);
    }
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42);
    verdict = rig_judge_input(rig, check, 0);
    assert_int_equal(verdict->weight, WEIGHT_NOTE);
    assert_near(verdict->severity, 20, 0);
    assert_near(rig_figure(verdict, "pad_db"), 20, 0);
    assert_near(rig_figure(verdict, "preamp_after_db"), 22, 0);
    assert_string_equal(rig->words.says,
                        "the pad takes 20 dB off, and the preamp behind it stands at "
                        "42 dB and adds them again, with its noise");
    assert_contains(rig->words.cure,
                    "first the preamp down by 20 dB, as far as it goes, then the pad");
    /* gain that the sends take away is the larger matter */
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -14);
    assert_true(isnan(verdict_figure(rig_judge_input(rig, check, 0), "pad_db")));
    assert_near(rig->verdict.severity, 14, 1e-9);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(house_path_counts_on_a_house_desk),
        RIG_TEST(make_up_counts),
        RIG_TEST(groups_count_behind_the_fader),
        RIG_TEST(open_send_into_a_parked_master_forbids_a_verdict),
        RIG_TEST(pad_that_the_preamp_makes_up_for_has_its_own_words),
    };

    return cmocka_run_group_tests_name("unused_preamp_uses", tests, NULL, NULL);
}
