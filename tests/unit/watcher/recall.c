/* SPDX-License-Identifier: MIT */
/* What is told of a recall: at once, later, and when it has settled; and what is none. */
#include "check/value_jumped.h"

#include <math.h>
#include <string.h>

#include "check/check.h"
#include "unit.h"
#include "watch_rig.h"

enum { MINUTE_MS = 60000 };

static void
recall(struct watch_rig *rig)
{
    for (int input = 0; input < 8; input++) {
        rig_set(&rig->rig, PARAM_INPUT_PREAMP_GAIN, input, 0, 20);
        for (int mix = 0; mix < 4; mix++)
            rig_set(&rig->rig, PARAM_SEND_LEVEL, input, mix, -12);
        watch_rig_pass(rig, 50);
    }
    rig_set(&rig->rig, PARAM_MIX_LIMITER_ON, 1, 0, 0);
    rig_set(&rig->rig, PARAM_MIX_FADER, 2, 0, -8);
    watch_rig_pass(rig, 50);
}

/* What protects at once, the rest when it has settled. */
static void
a_recall_is_one_message_and_a_summary(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);

    recall(rig);
    watch_rig_pass(rig, 500);
    assert_true(watcher_settling(rig->watcher));
    assert_string_equal(rig->text, "recall -1: follows ears-unprotected mix 2;\n");
    assert_int_equal(rig->weights[0], WEIGHT_STOP);
    watch_rig_forget(rig);
    watch_rig_pass(rig, WATCHER_SETTLE_MS - 600);
    assert_string_equal(rig->text, "");
    watch_rig_pass(rig, 600);
    assert_false(watcher_settling(rig->watcher));
    assert_int_equal(rig->messages, 1);
    assert_contains(rig->text, "settled -1: raised ");
    assert_contains(rig->text, "raised master-off-unity mix 3;");
    assert_null(strstr(rig->text, "ears-unprotected"));
    watch_rig_pass(rig, 10 * MINUTE_MS);
    assert_int_equal(rig->messages, 1);
}

/* It is told at once, and what followed at the latest after WATCHER_SETTLE_MOST_MS. */
static void
a_recall_that_goes_on_is_over_in_the_end(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);

    recall(rig);
    watch_rig_pass(rig, 500);
    assert_int_equal(rig->messages, 1);
    for (int i = 0; i < 300; i++)
        watch_rig_move(rig, PARAM_INPUT_TRIM, i % 8, 0, i % 3);
    assert_int_equal(rig->messages, 1); /* 15 s */
    for (int i = 0; i < 200 && rig->messages == 1; i++)
        watch_rig_move(rig, PARAM_INPUT_TRIM, i % 8, 0, i % 3);
    assert_int_equal(rig->messages, 2);
    assert_int_equal(rig->causes[1].kind, CAUSE_SETTLED);
}

/* Lost behind its message, given back, and lost once more. */
static void
protection_lost_later_in_a_recall_is_told_at_once(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);

    recall(rig);
    watch_rig_pass(rig, 500);
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    watch_rig_pass(rig, 1000);
    assert_string_equal(rig->text, "later -1: raised protection-lost input 1;\n");
    watch_rig_pass(rig, 10000);
    assert_int_equal(rig->messages, 2);
    assert_contains(rig->text, "settled -1: ");
    assert_null(strstr(strstr(rig->text, "settled"), "protection-lost input 1;"));
}

/* Everything is back before it has settled: one message more, which ends what was told. */
static void
a_recall_that_undoes_itself(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);
    struct desk *before = desk_copy(rig->rig.desk);
    static const enum param_id ids[] = {PARAM_INPUT_PREAMP_GAIN, PARAM_SEND_LEVEL,
                                        PARAM_MIX_LIMITER_ON, PARAM_MIX_FADER};

    recall(rig);
    watch_rig_pass(rig, 500);
    watch_rig_forget(rig);
    for (size_t i = 0; i < COUNT(ids); i++)
        for (int row = 0; row < desk_rows(before, ids[i]); row++)
            for (int column = 0; column < desk_columns(before, ids[i]); column++)
                rig_set(&rig->rig, ids[i], row, column,
                        value_number(desk_value(before, ids[i], row, column)));
    watch_rig_pass(rig, 10000);
    assert_string_equal(rig->text, "settled -1: cleared ears-unprotected mix 2;\n");
    desk_free(before);
}

/* Values that are back before anybody could be told are no recall at all. */
static void
a_burst_that_undoes_itself_is_nothing(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);

    for (int back = 0; back < 2; back++) {
        for (int input = 0; input < 8; input++)
            for (int mix = 0; mix < 4; mix++)
                rig_set(&rig->rig, PARAM_SEND_TAP, input, mix,
                        back ? TAP_PRE_FADER : TAP_POST_FADER);
        watch_rig_pass(rig, 100);
    }
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "");
}

/* What leapt in it is told with it, and is no slip; the largest lead. */
static void
count_leaps(void *context, const struct message *message)
{
    struct leaps *leaps = context;

    if (message->cause.kind == CAUSE_RECALL)
        *leaps = *message->leaps;
}

static void
leaps_of_a_recall_are_told_with_it(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);
    struct leaps leaps = {.count = 99};

    rig->also = count_leaps;
    rig->also_context = &leaps;
    for (int input = 1; input < 8; input++)
        for (int mix = 0; mix < 4; mix++)
            rig_set(&rig->rig, PARAM_SEND_LEVEL, input, mix, input < 6 ? -10 : input);
    watch_rig_move(rig, PARAM_SEND_LEVEL, 3, 1, 9);
    watch_rig_pass(rig, 1000);
    assert_int_equal(leaps.count, 5); /* the last input stood at 0 dB */
    assert_int_equal(leaps.largest[0].jump.row, 3);
    assert_int_equal(leaps.largest[0].jump.column, 1);
    assert_int_equal(leaps.largest[0].weight, WEIGHT_STOP);
    assert_near(leaps.largest[0].db, 69, 1e-9);
    assert_near(leaps.largest[1].db, 66, 1e-9);
    assert_near(leaps.largest[2].db, 66, 1e-9);
    watch_rig_pass(rig, MINUTE_MS);
    assert_null(strstr(rig->text, "value-jumped"));
}

/* While lines are checked a send that rises to its place is work; one that leaps beyond it is none. */
static void
leaps_in_a_line_check_end_high(void **state)
{
    static const struct {
        enum room room;
        double approved_db, to_db; /* NAN: nothing is approved */
        bool told;
    } rows[] = {
        {ROOM_DOORS, NAN, -5, true},       {ROOM_LINE_CHECK, NAN, -5, false},
        {ROOM_CHANGEOVER, NAN, -5, false}, {ROOM_LINE_CHECK, NAN, 0, false},
        {ROOM_LINE_CHECK, NAN, 3, true},   {ROOM_CHANGEOVER, NAN, 3, true},
        {ROOM_LINE_CHECK, -12, -5, true},  {ROOM_LINE_CHECK, 5, 4, false},
        {ROOM_LINE_CHECK, 5, 9, true},
    };

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct watch_rig *rig = *state;
        struct desk *approved;

        watch_rig_vocal(rig, rows[i].room);
        rig->rig.show->checks[CHECK_VALUE_JUMPED].settings[2] = -60; /* above_db: any leap counts */
        if (!isnan(rows[i].approved_db)) {
            approved = desk_copy(rig->rig.desk);
            desk_set(approved, PARAM_SEND_LEVEL, 3, 1, rows[i].approved_db, 0);
            engine_set_approved(rig->rig.engine, approved);
        }
        watch_rig_begin(rig);
        watch_rig_move(rig, PARAM_SEND_LEVEL, 3, 1, rows[i].to_db);
        watch_rig_pass(rig, 1000);
        assert_row("leap", strstr(rig->text, "raised value-jumped input 4;") != NULL, rows[i].told);
    }
}

static void
mute_groups_and_fader_scenes_are_no_recall(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_start(rig, 64, 4, ROOM_DOORS);
    watch_rig_begin(rig);
    for (int input = 0; input < 64; input++) {
        rig_set(&rig->rig, PARAM_INPUT_MUTE, input, 0, 1);
        rig_set(&rig->rig, PARAM_INPUT_FADER, input, 0, -20);
    }
    watch_rig_pass(rig, 50);
    assert_false(watcher_settling(rig->watcher));
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "");
}

static void
a_flattened_graphic_is_no_recall(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_DOORS);
    for (int band = 0; band < 31; band++)
        rig_set(&rig->rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, band % 8 == 0 ? -6 : -0.5);
    watch_rig_begin(rig);
    for (int band = 0; band < 31; band++)
        rig_set(&rig->rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, 0);
    watch_rig_pass(rig, 50);
    assert_false(watcher_settling(rig->watcher));
    watch_rig_pass(rig, 1000);
    assert_string_equal(rig->text, "mix 0: raised protection-lost mix 1;\n");
}

/* Neither what it brought before its message nor behind it, where the desk is lost or the watch ends
 * before it has settled. */
static void
a_recall_that_is_cut_leaves_no_slips(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);
    size_t jumps;

    for (int input = 1; input < 8; input++)
        for (int mix = 0; mix < 4; mix++)
            rig_set(&rig->rig, PARAM_SEND_LEVEL, input, mix, 6);
    watch_rig_pass(rig, 10);
    watch_rig_pass(rig, 1000);
    assert_true(watcher_settling(rig->watcher));
    moves_jumps(engine_moves(rig->rig.engine), &jumps);
    assert_int_equal(jumps, 0);
    rig_set(&rig->rig, PARAM_SEND_LEVEL, 0, 2, 6);
    watch_rig_pass(rig, 10);
    watch_rig_forget(rig);
    watch_rig_lose(rig, 10000);
    watch_rig_find_again(rig);
    watch_rig_pass(rig, MINUTE_MS);
    assert_null(strstr(rig->text, "value-jumped"));
    assert_int_equal(rig->causes[0].kind, CAUSE_BACK);
    assert_int_equal(rig->messages, 1);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        WATCH_RIG_TEST(a_recall_is_one_message_and_a_summary),
        WATCH_RIG_TEST(a_recall_that_goes_on_is_over_in_the_end),
        WATCH_RIG_TEST(protection_lost_later_in_a_recall_is_told_at_once),
        WATCH_RIG_TEST(a_recall_that_undoes_itself),
        WATCH_RIG_TEST(a_burst_that_undoes_itself_is_nothing),
        WATCH_RIG_TEST(leaps_of_a_recall_are_told_with_it),
        WATCH_RIG_TEST(a_recall_that_is_cut_leaves_no_slips),
        WATCH_RIG_TEST(leaps_in_a_line_check_end_high),
        WATCH_RIG_TEST(mute_groups_and_fader_scenes_are_no_recall),
        WATCH_RIG_TEST(a_flattened_graphic_is_no_recall),
    };

    return cmocka_run_group_tests_name("recall", tests, NULL, NULL);
}
