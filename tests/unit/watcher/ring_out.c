/* SPDX-License-Identifier: MIT */
/* What a ring-out that is followed holds back, and what it never does. */
#include "watcher/ring_out.h"

#include <math.h>
#include <string.h>

#include "check/check.h"
#include "proof/kept.h"
#include "unit.h"
#include "watch_rig.h"

enum { SECOND_MS = 1000, MINUTE_MS = 60 * SECOND_MS, MIXES = 4 };

/* The vocal's own wedge is mix 1; mix 2 is an in-ear mix. */
static struct watch_rig *
begun(void **state, const char *which)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);
    bool mixes[MIXES] = {false};

    watch_rig_pass(rig, 5 * SECOND_MS);
    for (; *which; which++)
        mixes[*which - '1'] = true;
    watcher_ring_out(rig->watcher, mixes, rig->rig.now_ms);
    watch_rig_forget(rig);
    return rig;
}

static void
push_preamp(struct watch_rig *rig)
{
    watch_rig_move(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42);
    watch_rig_pass(rig, SECOND_MS);
}

static void
assert_held(const struct watch_rig *rig, const char *check, int input, int mix)
{
    const struct finding *finding = rig_finding((struct rig *)&rig->rig, check, input, mix);
    int by;

    assert_non_null(finding);
    assert_int_equal(watcher_hidden(rig->watcher, finding, &by), HIDDEN_BY_RING_OUT);
}

static void
a_push_is_held_and_told_at_the_end(void **state)
{
    struct watch_rig *rig = begun(state, "1");

    push_preamp(rig);
    assert_string_equal(rig->text, "");
    assert_held(rig, "value-jumped", 0, -1);
    assert_true(watcher_rings_out(rig->watcher, 0));
    assert_false(watcher_rings_out(rig->watcher, 1));
    watcher_end_ring_out(rig->watcher, rig->rig.now_ms);
    watch_rig_pass(rig, SECOND_MS);
    assert_contains(rig->text, "rung-out -1: raised value-jumped input 1;");
    assert_false(watcher_rings_out(rig->watcher, 0));
}

static void
what_is_taken_back_is_never_told(void **state)
{
    struct watch_rig *rig = begun(state, "1");

    push_preamp(rig);
    watch_rig_move(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 30);
    watch_rig_pass(rig, 5 * SECOND_MS);
    watcher_end_ring_out(rig->watcher, rig->rig.now_ms);
    watch_rig_pass(rig, 5 * SECOND_MS);
    assert_string_equal(rig->text, "");
}

static void
it_ends_two_minutes_after_the_last_move(void **state)
{
    struct watch_rig *rig = begun(state, "1");
    int64_t begun_ms = rig->rig.now_ms;

    assert_int_equal(watcher_ring_out_until_ms(rig->watcher), begun_ms + RING_OUT_MOST_MS);
    watch_rig_pass(rig, MINUTE_MS);
    watch_rig_move(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 7, -3);
    assert_true(watcher_ring_out_until_ms(rig->watcher) >= begun_ms + MINUTE_MS + RING_OUT_MOST_MS);
    watch_rig_pass(rig, RING_OUT_MOST_MS - SECOND_MS);
    assert_true(watcher_rings_out(rig->watcher, 0));
    watch_rig_pass(rig, 2 * SECOND_MS);
    assert_false(watcher_rings_out(rig->watcher, 0));
    assert_int_equal(watcher_ring_out_until_ms(rig->watcher), INT64_MAX);
    push_preamp(rig); /* one slip long after it is told */
    assert_false(watcher_rings_out(rig->watcher, 0));
    assert_contains(rig->text, "raised value-jumped input 1;");
}

/* A long talk, and then it goes on. */
static void
it_begins_again_where_moves_go_on(void **state)
{
    struct watch_rig *rig = begun(state, "1");

    watch_rig_pass(rig, RING_OUT_MOST_MS + MINUTE_MS);
    assert_false(watcher_rings_out(rig->watcher, 0));
    for (int64_t ms = 0; ms < RING_OUT_GOES_ON_MS; ms += SECOND_MS) {
        watch_rig_move(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 7, -0.1 * (double)(ms / SECOND_MS + 1));
        assert_false(watcher_rings_out(rig->watcher, 0)); /* may be one slip */
        watch_rig_pass(rig, SECOND_MS);
    }
    watch_rig_move(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 7, -6);
    assert_true(watcher_rings_out(rig->watcher, 0));
    push_preamp(rig);
    assert_string_equal(rig->text, "");
    watch_rig_pass(rig, RING_OUT_MOST_MS + SECOND_MS);
    assert_false(watcher_rings_out(rig->watcher, 0));
}

/* Two slips an hour apart are no ring-out. */
static void
it_does_not_begin_again_by_moves_far_apart(void **state)
{
    struct watch_rig *rig = begun(state, "1");

    for (int i = 1; i <= 3; i++) {
        watch_rig_pass(rig, RING_OUT_MOST_MS + MINUTE_MS);
        watch_rig_move(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 7, -i);
        assert_false(watcher_rings_out(rig->watcher, 0));
    }
}

/* Who has gone rings out no more. */
static void
it_does_not_begin_again_behind_its_end(void **state)
{
    struct watch_rig *rig = begun(state, "1");

    watcher_end_ring_out(rig->watcher, rig->rig.now_ms);
    for (int i = 1; i <= 20; i++) {
        watch_rig_move(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 7, -0.1 * i);
        watch_rig_pass(rig, SECOND_MS);
        assert_false(watcher_rings_out(rig->watcher, 0));
    }
}

static void
what_others_move_does_not_let_it_last(void **state)
{
    struct watch_rig *rig = begun(state, "1");
    int64_t until_ms = watcher_ring_out_until_ms(rig->watcher);

    watch_rig_pass(rig, MINUTE_MS);
    watch_rig_move(rig, PARAM_INPUT_FADER, 4, 0, -5);
    watch_rig_move(rig, PARAM_MIX_FADER, 2, 0, -0.2);
    watch_rig_move(rig, PARAM_SEND_LEVEL, 3, 3, -20);
    assert_int_equal(watcher_ring_out_until_ms(rig->watcher), until_ms);
}

static void
what_also_reaches_ears_is_told(void **state)
{
    struct watch_rig *rig = begun(state, "12");

    rig_set(&rig->rig, PARAM_SEND_LEVEL, 0, 1, -10);
    watch_rig_pass(rig, SECOND_MS);
    push_preamp(rig);
    assert_contains(rig->text, "raised value-jumped input 1;");
}

static void
what_also_reaches_another_wedge_is_told(void **state)
{
    struct watch_rig *rig = begun(state, "1");

    rig_set(&rig->rig, PARAM_SEND_LEVEL, 0, 2, -10);
    rig_set(&rig->rig, PARAM_MIX_MUTE, 2, 0, 1);
    watch_rig_pass(rig, SECOND_MS);
    push_preamp(rig);
    assert_string_equal(rig->text, "");
    rig_set(&rig->rig, PARAM_MIX_MUTE, 2, 0, 0); /* now it is loud there */
    watch_rig_pass(rig, SECOND_MS);
    assert_contains(rig->text, "raised value-jumped input 1;");
}

static void
a_leap_into_ears_is_told(void **state)
{
    struct watch_rig *rig = begun(state, "12");

    watch_rig_move(rig, PARAM_SEND_LEVEL, 0, 1, 6); /* stop */
    watch_rig_pass(rig, SECOND_MS);
    assert_contains(rig->text, "raised value-jumped input 1;");
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_MIX_FADER, 1, 0, 7); /* fix */
    watch_rig_pass(rig, SECOND_MS);
    assert_contains(rig->text, "raised value-jumped mix 2;");
}

/* Its sends are off, and may come. */
static void
a_master_that_nothing_reaches_is_no_part_of_it(void **state)
{
    struct watch_rig *rig = begun(state, "1");

    rig_set(&rig->rig, PARAM_SEND_LEVEL, 7, 2, -HUGE_VAL);
    watch_rig_pass(rig, SECOND_MS);
    watch_rig_move(rig, PARAM_MIX_FADER, 2, 0, 7);
    watch_rig_pass(rig, SECOND_MS);
    assert_contains(rig->text, "raised value-jumped mix 3;");
}

static void
a_leap_of_the_same_input_elsewhere_is_told(void **state)
{
    struct watch_rig *rig = begun(state, "1");

    rig_set(&rig->rig, PARAM_SEND_LEVEL, 0, 0, -20);
    watch_rig_pass(rig, 5 * SECOND_MS);
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_SEND_LEVEL, 0, 0, 6);
    watch_rig_pass(rig, SECOND_MS);
    assert_string_equal(rig->text, "");
    watch_rig_move(rig, PARAM_SEND_LEVEL, 0, 3, 6);
    watch_rig_pass(rig, SECOND_MS);
    assert_contains(rig->text, "raised value-jumped input 1;");
}

static void
nobody_knows_what_a_mix_feeds(void **state)
{
    struct watch_rig *rig = *state;
    const bool all[MIXES] = {true, true, true, true};

    watch_rig_vocal(rig, ROOM_DOORS);
    rig->rig.show->mixes[0].feeds = FEEDS_UNKNOWN;
    watch_rig_begin(rig);
    watcher_ring_out(rig->watcher, all, rig->rig.now_ms);
    watch_rig_forget(rig);
    push_preamp(rig);
    assert_contains(rig->text, "raised value-jumped input 1;");
}

static void
what_weighs_stop_and_all_else_is_told(void **state)
{
    struct watch_rig *rig = begun(state, "1234");

    rig_set(&rig->rig, PARAM_MIX_LIMITER_ON, 1, 0, 0);
    rig_set(&rig->rig, PARAM_MIX_FADER, 0, 0, 4);
    watch_rig_pass(rig, 10 * SECOND_MS);
    assert_contains(rig->text, "ears-unprotected mix 2;");
    assert_contains(rig->text, "master-off-unity mix 1;");
}

static void
check_held_down(void **state, double master_db)
{
    struct watch_rig *rig = begun(state, "1");

    rig_set(&rig->rig, PARAM_MIX_FADER, 0, 0, master_db);
    watch_rig_pass(rig, 30 * SECOND_MS);
    assert_string_equal(rig->text, "");
    watcher_end_ring_out(rig->watcher, rig->rig.now_ms);
    watch_rig_pass(rig, 30 * SECOND_MS);
    assert_contains(rig->text, "master-off-unity mix 1;");
}

static void
a_master_that_begins_down_is_not_asked_up(void **state)
{
    check_held_down(state, -12);
}

static void
a_mix_that_waits_is_not_asked_up(void **state)
{
    check_held_down(state, -HUGE_VAL);
}

/* ---- margin-left ---- */

struct kept {
    struct proof_ceiling ceiling;
    struct proofs proofs;
};

static void
keep(struct watch_rig *rig, struct kept *kept)
{
    kept->ceiling = (struct proof_ceiling){.desk = desk_copy(rig->rig.desk), .mix = -1};
    desk_set(kept->ceiling.desk, PARAM_MIX_FADER, 0, 0, 6, 1000);
    kept->proofs = (struct proofs){&kept->ceiling, 1, NULL, 0, desk_copy(rig->rig.desk), {0}};
    engine_set_proofs(rig->rig.engine, &kept->proofs);
    watch_rig_pass(rig, SECOND_MS);
    watch_rig_forget(rig);
}

static void
drop(struct kept *kept)
{
    desk_free(kept->ceiling.desk);
    desk_free(kept->proofs.left);
}

/* Only what is rung out: another mix that goes past what was proved is told as ever. */
static void
margin_left_of_the_mix_is_held(void **state)
{
    struct watch_rig *rig = begun(state, "1");
    struct kept kept;

    keep(rig, &kept);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 5);
    watch_rig_pass(rig, 5 * SECOND_MS);
    assert_null(strstr(rig->text, "margin-left"));
    assert_held(rig, "margin-left", -1, 0);
    watch_rig_move(rig, PARAM_MIX_FADER, 2, 0, 5);
    watch_rig_pass(rig, 5 * SECOND_MS);
    assert_contains(rig->text, "raised margin-left mix 3;");
    assert_null(strstr(rig->text, "margin-left mix 1;"));
    watch_rig_forget(rig);
    watcher_end_ring_out(rig->watcher, rig->rig.now_ms);
    watch_rig_pass(rig, SECOND_MS);
    assert_contains(rig->text, "raised margin-left mix 1;");
    drop(&kept);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        WATCH_RIG_TEST(a_push_is_held_and_told_at_the_end),
        WATCH_RIG_TEST(what_is_taken_back_is_never_told),
        WATCH_RIG_TEST(it_ends_two_minutes_after_the_last_move),
        WATCH_RIG_TEST(it_begins_again_where_moves_go_on),
        WATCH_RIG_TEST(it_does_not_begin_again_by_moves_far_apart),
        WATCH_RIG_TEST(it_does_not_begin_again_behind_its_end),
        WATCH_RIG_TEST(what_others_move_does_not_let_it_last),
        WATCH_RIG_TEST(what_also_reaches_ears_is_told),
        WATCH_RIG_TEST(what_also_reaches_another_wedge_is_told),
        WATCH_RIG_TEST(a_leap_into_ears_is_told),
        WATCH_RIG_TEST(a_master_that_nothing_reaches_is_no_part_of_it),
        WATCH_RIG_TEST(a_leap_of_the_same_input_elsewhere_is_told),
        WATCH_RIG_TEST(nobody_knows_what_a_mix_feeds),
        WATCH_RIG_TEST(what_weighs_stop_and_all_else_is_told),
        WATCH_RIG_TEST(a_master_that_begins_down_is_not_asked_up),
        WATCH_RIG_TEST(a_mix_that_waits_is_not_asked_up),
        WATCH_RIG_TEST(margin_left_of_the_mix_is_held),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
