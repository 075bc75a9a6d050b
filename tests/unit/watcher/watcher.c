/* SPDX-License-Identifier: MIT */
/* What people are told, and when: holds, one message for one cause, what holds back and what is
 * told when that is over. What people ask of watchdogs, point by point.
 */
#include "watcher/watcher.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "proof/kept.h"
#include "unit.h"
#include "watch_rig.h"

enum { MINUTE_MS = 60000 };

static void
value_on_a_threshold_is_one_finding(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);

    for (int i = 0; i < 6000; i++)
        watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, i % 2 ? -0.45 : -0.55);
    assert_string_equal(rig->text, "mix 0: raised master-off-unity mix 1;\n");
}

static void
short_moves_are_not_told(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);

    for (int i = 0; i < 50; i++) {
        watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, -3);
        watch_rig_pass(rig, 2000);
        watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 0);
        watch_rig_pass(rig, 2000);
    }
    assert_string_equal(rig->text, "");
}

/* What a master took of a proved margin waits for what else it did, unless little is left. */
static void
little_margin_left_is_told_at_once(void **state)
{
    static const struct {
        double rise_db;
        const char *told;
    } rows[] = {
        {2.5, "mix 0: raised master-off-unity mix 1; raised margin-left mix 1;\n"},
        {4.5, "mix 0: raised margin-left mix 1; follows master-off-unity mix 1;\n"},
    };

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct proof_ceiling ceiling = {.mix = -1};
        struct proofs kept = {.ceilings = &ceiling, .ceiling_count = 1};
        struct watch_rig *rig = *state;

        watch_rig_vocal(rig, ROOM_DOORS);
        ceiling.desk = desk_copy(rig->rig.desk);
        kept.left = desk_copy(rig->rig.desk);
        for (int mix = 0; mix < 4; mix++)
            desk_set(ceiling.desk, PARAM_MIX_FADER, mix, 0, 6, 1);
        engine_set_proofs(rig->rig.engine, &kept);
        watch_rig_begin(rig);
        watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, rows[i].rise_db);
        watch_rig_pass(rig, 5000);
        assert_string_equal(rig->text, rows[i].told);
        engine_set_proofs(rig->rig.engine, NULL);
        desk_free(ceiling.desk);
        desk_free(kept.left);
    }
}

/* From 0 to -9 dB in 9 s: told once, with what it came to. */
static void
a_slide_is_told_when_it_stops(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);

    for (int i = 1; i <= 180; i++)
        watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, -0.05 * i);
    assert_string_equal(rig->text, "");
    watch_rig_pass(rig, 3000);
    assert_string_equal(rig->text, "mix 0: raised master-off-unity mix 1;\n");
    assert_int_equal(rig->weights[0], WEIGHT_FIX);
    assert_near(rig->causes[0].to, -9, 1e-9);
}

/* Both inputs of one preamp lose their sense at once. */
static void
a_preamp_that_moves_many_paths_is_one_message(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_DOORS);
    for (int input = 0; input < 4; input++) {
        rig_set(&rig->rig, PARAM_INPUT_PREAMP, input, 0, 5);
        rig_set(&rig->rig, PARAM_INPUT_PHANTOM, input, 0, 0);
        rig->rig.show->inputs[input].microphone = MICROPHONE_DYNAMIC;
        rig_set(&rig->rig, PARAM_SEND_LEVEL, input, 0, 0);
    }
    watch_rig_begin(rig);
    for (int input = 0; input < 4; input++)
        rig_set(&rig->rig, PARAM_INPUT_PHANTOM, input, 0, 1);
    watch_rig_pass(rig, 4000);
    assert_int_equal(rig->messages, 1);
    assert_int_equal(rig->causes[0].kind, CAUSE_PREAMP);
    assert_int_equal(rig->causes[0].number, 5);
    for (int input = 1; input <= 4; input++) {
        char expected[60];

        snprintf(expected, sizeof expected, "phantom-mismatch input %d;", input);
        assert_contains(rig->text, expected);
        snprintf(expected, sizeof expected, "protection-lost input %d;", input);
        assert_contains(rig->text, expected);
    }
}

/* A group's fader that comes up: every member with a post-fader send is told, in one message. */
static void
a_group_that_moves_many_inputs_is_one_message(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_DOORS);
    for (int input = 0; input < 8; input++) {
        rig_set(&rig->rig, PARAM_INPUT_GROUP, input, 0, 1);
        rig_set(&rig->rig, PARAM_SEND_LEVEL, input, 0, 0);
        rig_set(&rig->rig, PARAM_SEND_TAP, input, 0, TAP_POST_FADER);
    }
    watch_rig_begin(rig);
    watch_rig_move(rig, PARAM_GROUP_FADER, 0, 0, -20);
    watch_rig_pass(rig, MINUTE_MS);
    assert_true(rig->messages <= 1);
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_GROUP_FADER, 0, 0, 8);
    watch_rig_pass(rig, 1000);
    assert_int_equal(rig->messages, 1);
    assert_int_equal(rig->causes[0].kind, CAUSE_GROUP);
    assert_contains(rig->text, "raised value-jumped desk;");
}

/* A file of another show: ten thousand findings at once are a recall's message and its summary, and no
 * time. */
static void
ten_thousand_findings_at_once_are_two_messages(void **state)
{
    enum { INPUTS = 5000 };
    struct watch_rig *rig = *state;

    watch_rig_start(rig, INPUTS, 2, ROOM_DOORS);
    for (int input = 0; input < INPUTS; input++)
        rig->rig.show->inputs[input].microphone = MICROPHONE_DYNAMIC;
    watch_rig_begin(rig);
    for (int input = 0; input < INPUTS; input++)
        rig_set(&rig->rig, PARAM_INPUT_PHANTOM, input, 0, 1);
    watch_rig_pass(rig, MINUTE_MS);
    assert_int_equal(rig->edges, 2 * INPUTS); /* phantom-mismatch and protection-lost */
    assert_int_equal(rig->messages, 2);
    assert_int_equal(rig->causes[0].kind, CAUSE_RECALL);
    assert_int_equal(rig->causes[1].kind, CAUSE_SETTLED);
    watch_rig_pass(rig, MINUTE_MS);
    assert_int_equal(rig->messages, 2);
}

/* One of weight stop does not wait for the others, and they are in the same message. */
static void
stop_does_not_wait_and_what_follows_is_folded_in(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);

    rig_set(&rig->rig, PARAM_MIX_LIMITER_ON, 1, 0, 0);
    watch_rig_move(rig, PARAM_MIX_FADER, 1, 0, -8);
    watch_rig_pass(rig, 600);
    assert_string_equal(rig->text,
                        "mix 1: raised ears-unprotected mix 2; follows master-off-unity mix 2;\n");
    assert_int_equal(rig->weights[0], WEIGHT_STOP);
    watch_rig_pass(rig, MINUTE_MS);
    assert_int_equal(rig->messages, 1);
}

static void
what_followed_but_did_not_come_is_told(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);

    rig_set(&rig->rig, PARAM_MIX_LIMITER_ON, 1, 0, 0);
    watch_rig_move(rig, PARAM_MIX_FADER, 1, 0, -8);
    watch_rig_pass(rig, 600);
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_MIX_FADER, 1, 0, 0);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "mix 1: cleared master-off-unity mix 2;\n");
}

static void
raised_and_cleared_by_one_move_is_one_message(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_DOORS);
    rig_set(&rig->rig, PARAM_MIX_FADER, 0, 0, -12);
    watch_rig_begin(rig);
    /* the master comes up, so the preamp has gain to spare: one ends, the other begins */
    rig_set(&rig->rig, PARAM_SEND_LEVEL, 0, 0, -20);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 0);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "mix 0: raised unused-preamp-gain input 1; ends "
                                   "master-off-unity mix 1;\n");
}

static void
the_room_holds_back_and_lets_go(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_SHOW);

    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, -3); /* a note */
    watch_rig_move(rig, PARAM_MIX_FADER, 2, 0, -8); /* to fix */
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "mix 2: raised master-off-unity mix 3;\n");
    assert_int_equal(rig->edges, 2);
    watch_rig_forget(rig);
    watcher_set_room(rig->watcher, ROOM_DOORS, "said so", INT64_MAX, rig->rig.now_ms);
    watch_rig_pass(rig, 1000);
    assert_string_equal(rig->rooms, "show -> doors (said so)\n");
    assert_string_equal(rig->text, "room 2: raised master-off-unity mix 1;\n");
    watch_rig_pass(rig, MINUTE_MS);
    assert_int_equal(rig->messages, 1);
}

static void
what_ends_while_held_back_is_never_told(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_SHOW);

    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, -3);
    watch_rig_pass(rig, MINUTE_MS);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 0);
    watch_rig_pass(rig, MINUTE_MS);
    watcher_set_room(rig->watcher, ROOM_DOORS, "said so", INT64_MAX, rig->rig.now_ms);
    watch_rig_pass(rig, MINUTE_MS);
    assert_int_equal(rig->edges, 2);
    assert_string_equal(rig->text, "");
}

static void
what_ends_is_told_even_when_the_room_holds_back(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);

    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, -3);
    watch_rig_pass(rig, MINUTE_MS);
    watcher_set_room(rig->watcher, ROOM_SHOW, "said so", INT64_MAX, rig->rig.now_ms);
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 0);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "mix 0: cleared master-off-unity mix 1;\n");
}

static void
changeover_ends_by_itself(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_SHOW);

    watcher_set_room(rig->watcher, ROOM_CHANGEOVER, "said so", rig->rig.now_ms + 20 * MINUTE_MS,
                     rig->rig.now_ms);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, -8);
    watch_rig_pass(rig, 20 * MINUTE_MS - 100);
    assert_int_equal(watcher_room(rig->watcher), ROOM_CHANGEOVER);
    assert_string_equal(rig->text, "");
    watch_rig_pass(rig, 1000);
    assert_int_equal(watcher_room(rig->watcher), ROOM_SHOW);
    assert_string_equal(rig->rooms, "show -> changeover (said so)\n"
                                    "changeover -> show (its time is over)\n");
    assert_string_equal(rig->text, "room 3: raised master-off-unity mix 1;\n");
}

static struct quiet
quiet_for(struct watch_rig *rig, int64_t ms)
{
    return (struct quiet){.check = -1,
                          .input = -1,
                          .mix = -1,
                          .until_ms = rig->rig.now_ms + ms,
                          .why = "re-patching"};
}

static void
quieted_is_told_when_it_outlasts_it(void **state)
{
    struct watch_rig *rig = *state;
    struct quiet quiet;

    watch_rig_vocal(rig, ROOM_DOORS);
    watch_rig_begin(rig);
    quiet = quiet_for(rig, 5 * MINUTE_MS);
    quiet.mix = 0;
    assert_int_equal(quiets_add(watcher_quiets(rig->watcher), &quiet), 1);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, -8);
    watch_rig_move(rig, PARAM_MIX_FADER, 2, 0, -8);
    watch_rig_pass(rig, 5 * MINUTE_MS - 1000);
    assert_string_equal(rig->text, "mix 2: raised master-off-unity mix 3;\n");
    assert_int_equal(watcher_quiets(rig->watcher)->list[0].hid, 1);
    watch_rig_forget(rig);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "quiet 1: raised master-off-unity mix 1;\n");
    assert_true(watcher_quiets(rig->watcher)->list[0].ended);
}

static void
quieting_spares_stop_unless_it_says_so(void **state)
{
    struct watch_rig *rig = *state;

    for (int stop_too = 0; stop_too <= 1; stop_too++) {
        struct quiet quiet;

        watch_rig_vocal(rig, ROOM_DOORS);
        watch_rig_begin(rig);
        quiet = quiet_for(rig, 5 * MINUTE_MS);
        quiet.stop_too = stop_too;
        quiets_add(watcher_quiets(rig->watcher), &quiet);
        watch_rig_move(rig, PARAM_MIX_LIMITER_ON, 1, 0, 0);
        watch_rig_pass(rig, 5 * MINUTE_MS - 1000);
        assert_string_equal(rig->text, stop_too ? "" : "mix 1: raised ears-unprotected mix 2;\n");
        watch_rig_pass(rig, MINUTE_MS);
        assert_int_equal(rig->messages, 1);
    }
}

static void
a_muted_mix_holds_back_until_it_opens(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_DOORS);

    watch_rig_move(rig, PARAM_MIX_MUTE, 1, 0, 1);
    watch_rig_move(rig, PARAM_MIX_LIMITER_ON, 1, 0, 0);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "");
    watch_rig_move(rig, PARAM_MIX_MUTE, 1, 0, 0);
    assert_string_equal(rig->text, "unmuted 1: raised ears-unprotected mix 2;\n");
}

/* ---- losses, restarts ---- */

static void
a_lost_desk_is_silent_and_its_return_one_message(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_DOORS);
    rig_set(&rig->rig, PARAM_MIX_FADER, 2, 0, -8);
    watch_rig_begin(rig);
    watch_rig_lose(rig, 10 * MINUTE_MS);
    assert_string_equal(rig->text, "");
    rig_set(&rig->rig, PARAM_MIX_FADER, 0, 0, -8);
    rig_set(&rig->rig, PARAM_MIX_FADER, 2, 0, 0);
    watch_rig_find_again(rig);
    assert_string_equal(rig->text, "back -1: raised master-off-unity mix 1; cleared "
                                   "master-off-unity mix 3;\n");
    watch_rig_pass(rig, 10 * MINUTE_MS);
    assert_int_equal(rig->messages, 1);
}

/* Told a minute before the restart. */
static void
restore(struct watch_rig *rig, const char *check, struct object object, enum weight weight,
        double severity)
{
    struct told told = {check_find(check), object, weight, severity, -MINUTE_MS, "", ""};

    watcher_restore(rig->watcher, &told);
}

static void
silent_after_a_restart_when_nothing_changed(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_DOORS);
    rig_set(&rig->rig, PARAM_MIX_FADER, 0, 0, -8);
    restore(rig, "master-off-unity", (struct object){-1, 0}, WEIGHT_FIX, 8);
    rig->away = true;
    watch_rig_begin(rig);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "");
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 0);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "mix 0: cleared master-off-unity mix 1;\n");
}

static void
what_changed_while_away_is_told(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_DOORS);
    rig_set(&rig->rig, PARAM_MIX_FADER, 2, 0, -8);
    restore(rig, "master-off-unity", (struct object){-1, 0}, WEIGHT_FIX, 8);
    rig->away = true;
    watch_rig_begin(rig);
    assert_string_equal(rig->text, "start -1: raised master-off-unity mix 3; cleared "
                                   "master-off-unity mix 1;\n");
}

/* ---- the checks that only a watch has ---- */

static void
a_send_that_leaps_is_told_and_over_when_taken_back(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_SHOW);
    rig_set(&rig->rig, PARAM_SEND_LEVEL, 4, 1, -20);
    rig_set(&rig->rig, PARAM_SEND_LEVEL, 4, 0, 0);
    watch_rig_begin(rig);
    watch_rig_move(rig, PARAM_SEND_LEVEL, 4, 1, 8);
    watch_rig_pass(rig, 400);
    assert_string_equal(rig->text, "input 4: raised value-jumped input 5;\n");
    assert_int_equal(rig->weights[0], WEIGHT_STOP); /* into ears */
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_SEND_LEVEL, 4, 1, -20);
    watch_rig_pass(rig, 2000);
    assert_string_equal(rig->text, "input 4: cleared value-jumped input 5;\n");
}

static void
riding_and_opening_are_no_leaps(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_SHOW);
    rig_set(&rig->rig, PARAM_INPUT_FADER, 3, 0, -HUGE_VAL);
    watch_rig_begin(rig);
    for (int i = -40; i <= 8; i++) /* 12 s from far down to +8 dB */
        watch_rig_move(rig, PARAM_SEND_LEVEL, 4, 1, i), watch_rig_pass(rig, 200);
    watch_rig_move(rig, PARAM_INPUT_FADER, 3, 0, 0); /* opened to unity */
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "");
}

static void
a_leap_left_alone_was_meant(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_SHOW);

    watch_rig_move(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42);
    watch_rig_pass(rig, 1000);
    assert_string_equal(rig->text, "preamp 0: raised value-jumped input 1;\n");
    watch_rig_forget(rig);
    watch_rig_pass(rig, 3 * MINUTE_MS);
    assert_contains(rig->text, "cleared value-jumped input 1;");
}

/* Up is not down: +6 in one leap during the show is told at once, and once. */
static void
a_master_that_leaps_up_is_told_once(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_SHOW);

    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 6);
    watch_rig_pass(rig, 400);
    assert_string_equal(rig->text, "mix 0: raised value-jumped mix 1;\n");
    assert_int_equal(rig->weights[0], WEIGHT_FIX);
    watch_rig_pass(rig, MINUTE_MS);
    assert_int_equal(rig->messages, 1);
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 0);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "mix 0: cleared value-jumped mix 1;\n");
}

/* Left for two minutes it was meant: then it is how the desk is set up, and that is told. */
static void
a_master_that_stays_up_is_how_it_is_set(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_SHOW);

    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 10);
    watch_rig_pass(rig, MINUTE_MS);
    watch_rig_forget(rig);
    watch_rig_pass(rig, 2 * MINUTE_MS);
    assert_contains(rig->text, "cleared value-jumped mix 1;");
    assert_contains(rig->text, "raised master-off-unity mix 1;");
}

/* The same the other way is a note, which a show holds back; and three nudges are no leap. */
static void
a_master_that_goes_down_or_is_nudged_does_not_leap(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_SHOW);

    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, -6);
    watch_rig_pass(rig, MINUTE_MS);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 0); /* back to where it was, in one leap */
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "");
    for (int i = 1; i <= 3; i++) {
        watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 2 * i);
        watch_rig_pass(rig, 20000);
    }
    assert_null(strstr(rig->text, "value-jumped"));
    assert_contains(rig->text, "raised master-off-unity mix 1;"); /* louder than its sends say */
    assert_int_equal(rig->weights[0], WEIGHT_FIX);
}

/* Into ears a leap of 12 dB is stop, one of 6 a fix; of a send 6 dB are a wish. */
static void
leaps_into_ears_weigh_by_their_length(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_SHOW);
    rig_set(&rig->rig, PARAM_SEND_LEVEL, 4, 1, 0);
    rig_set(&rig->rig, PARAM_MIX_FADER, 2, 0, -6);
    watch_rig_begin(rig);
    watch_rig_move(rig, PARAM_SEND_LEVEL, 4, 1, 6);
    watch_rig_pass(rig, 2000);
    assert_string_equal(rig->text, "");
    watch_rig_move(rig, PARAM_MIX_FADER, 1, 0, 6);
    watch_rig_pass(rig, 2000);
    assert_string_equal(rig->text, "mix 1: raised value-jumped mix 2;\n");
    assert_int_equal(rig->weights[0], WEIGHT_FIX);
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_MIX_FADER, 1, 0, -6);
    watch_rig_pass(rig, 20000);
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_MIX_FADER, 1, 0, 7);
    watch_rig_pass(rig, 400);
    assert_int_equal(rig->weights[0], WEIGHT_STOP);
}

/* 0 dB on the desk is a little more on the wire, and 6 dB a little less. */
static void
leaps_are_counted_as_the_desk_shows_them(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_SHOW);
    rig_set(&rig->rig, PARAM_MIX_FADER, 2, 0, -20);
    watch_rig_begin(rig);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 5.9999);
    watch_rig_pass(rig, 1000);
    assert_string_equal(rig->text, "mix 0: raised value-jumped mix 1;\n");
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_MIX_FADER, 2, 0, 0.0001); /* opened to unity */
    watch_rig_pass(rig, 1000);
    assert_null(strstr(rig->text, "value-jumped"));
}

/* Nobody saw the way: told as what stands, once. */
static void
a_master_that_rose_while_the_desk_was_lost_stands(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_SHOW);

    rig_stale(&rig->rig, PARAM_MIX_FADER, 0, 0);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 7);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "mix 0: raised master-off-unity mix 1;\n");
}

/* Where that check is switched off, the other one tells. */
static void
a_leap_that_nobody_tells_is_not_folded(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_SHOW);
    rig->rig.show->checks[CHECK_VALUE_JUMPED].off = true;
    watch_rig_begin(rig);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 10);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "mix 0: raised master-off-unity mix 1;\n");
}

/* The highest of ten minutes in which something was to be heard: a pause does not make it soft, and
 * until there were ten it says nothing. */
static void
a_watch_knows_what_a_mix_carries(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_DOORS);
    rig_set(&rig->rig, PARAM_MIX_LEVEL, 1, 0, -120);
    watch_rig_begin(rig);
    for (int minute = 0; minute < 9; minute++) {
        rig_set(&rig->rig, PARAM_MIX_LEVEL, 1, 0, minute == 4 ? -17 : -35);
        watch_rig_pass(rig, MINUTE_MS);
    }
    assert_string_equal(rig->text, "");
    rig_set(&rig->rig, PARAM_MIX_LEVEL, 1, 0, -36); /* the tenth; one of them was loud */
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "");
    rig_set(&rig->rig, PARAM_MIX_LEVEL, 1, 0, -120); /* a pause of half an hour */
    watch_rig_pass(rig, 30 * MINUTE_MS);
    assert_string_equal(rig->text, "");
    for (int minute = 0; minute < 6; minute++) {
        rig_set(&rig->rig, PARAM_MIX_LEVEL, 1, 0, minute % 2 ? -35 : -36);
        watch_rig_pass(rig, MINUTE_MS);
    }
    assert_string_equal(rig->text, "none -1: raised ears-unprotected mix 2;\n");
    assert_int_equal(rig->weights[0], WEIGHT_NOTE);
    watch_rig_forget(rig);
    rig_set(&rig->rig, PARAM_MIX_LEVEL, 1, 0, -17);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "none -1: cleared ears-unprotected mix 2;\n");
}

/* First one ear loses its limiter, then the other: both are told, and neither as mended. */
static void
two_ears_are_told_as_they_go(void **state)
{
    for (int first = 1; first <= 2; first++) {
        struct watch_rig *rig = *state;

        watch_rig_vocal(rig, ROOM_SHOW);
        rig->rig.show->mixes[2].feeds = FEEDS_IN_EAR;
        strcpy(rig->rig.show->mixes[1].player, "Bo");
        strcpy(rig->rig.show->mixes[2].player, "Bo");
        watch_rig_begin(rig);
        watch_rig_move(rig, PARAM_MIX_LIMITER_ON, first, 0, 0);
        watch_rig_pass(rig, 2 * MINUTE_MS);
        assert_contains(rig->text, first == 1 ? "raised ears-unprotected mix 2;"
                                              : "raised ears-unprotected mix 3;");
        watch_rig_forget(rig);
        watch_rig_move(rig, PARAM_MIX_LIMITER_ON, 3 - first, 0, 0);
        watch_rig_pass(rig, 2 * MINUTE_MS);
        assert_contains(rig->text, first == 1 ? "worse ears-unprotected mix 2;"
                                              : "raised ears-unprotected mix 2;");
        assert_row(rig->text, strstr(rig->text, "cleared ears-unprotected") != NULL, false);
    }
}

static const struct jump leapt = {
    .id = PARAM_INPUT_PREAMP_GAIN, .from = 30, .to = 42, .at_ms = 1000, .gap_ms = 100};

/* A watch that begins again with a leap that was told before: it stands as it stood. */
static void
a_leap_of_before_a_restart_is_remembered(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_SHOW);
    engine_set_anchor(rig->rig.engine, desk_copy(rig->rig.desk));
    rig_set(&rig->rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42);
    restore(rig, "value-jumped", (struct object){0, -1}, WEIGHT_FIX, 12);
    assert_true(moves_restore_jump(engine_moves(rig->rig.engine), &leapt, rig->rig.now_ms));
    rig->away = true;
    watch_rig_begin(rig);
    watch_rig_pass(rig, 10000);
    assert_string_equal(rig->text, "");
    watch_rig_move(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 30);
    watch_rig_pass(rig, 2000);
    assert_string_equal(rig->text, "preamp 0: cleared value-jumped input 1;\n");
}

static void
a_leap_taken_back_while_away_is_over(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_SHOW);
    restore(rig, "value-jumped", (struct object){0, -1}, WEIGHT_FIX, 12);
    assert_true(moves_restore_jump(engine_moves(rig->rig.engine), &leapt, rig->rig.now_ms));
    rig->away = true;
    watch_rig_begin(rig);
    assert_string_equal(rig->text, "start -1: cleared value-jumped input 1;\n");
}

/* Its two minutes go on. */
static void
a_leap_of_before_a_restart_ends_in_its_time(void **state)
{
    struct watch_rig *rig = *state;
    struct jump jump = leapt;

    watch_rig_vocal(rig, ROOM_SHOW);
    engine_set_anchor(rig->rig.engine, desk_copy(rig->rig.desk));
    rig_set(&rig->rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42);
    restore(rig, "value-jumped", (struct object){0, -1}, WEIGHT_FIX, 12);
    jump.at_ms = rig->rig.now_ms - 100000;
    assert_true(moves_restore_jump(engine_moves(rig->rig.engine), &jump, rig->rig.now_ms));
    rig->away = true;
    watch_rig_begin(rig);
    watch_rig_pass(rig, 15000);
    assert_string_equal(rig->text, "");
    watch_rig_pass(rig, 10000);
    assert_contains(rig->text, "cleared value-jumped input 1;");
}

/* The kept file may hold anything. */
static void
no_leap_is_taken_that_this_desk_cannot_have(void **state)
{
    static const struct jump none[] = {
        {PARAM_INPUT_PREAMP_GAIN, 99, 0, 30, 42, 0, 0, false}, /* no such input */
        {PARAM_INPUT_PREAMP_GAIN, -1, 0, 30, 42, 0, 0, false}, /* nor this one */
        {PARAM_SEND_LEVEL, 0, 99, -20, 0, 0, 0, false},        /* no such mix */
        {PARAM_INPUT_MUTE, 0, 0, 0, 1, 0, 0, false},           /* no level */
        {PARAM_INPUT_PREAMP_GAIN, 0, 0, 30, 35.9, 0, 0, false},
        {PARAM_INPUT_PREAMP_GAIN, 0, 0, -HUGE_VAL, 42, 0, 0, false},
        {PARAM_INPUT_PREAMP_GAIN, 0, 0, 30, 1e300, 0, 0, false},
        {PARAM_INPUT_PREAMP_GAIN, 0, 0, NAN, 42, 0, 0, false},
    };
    struct watch_rig *rig = *state;
    struct moves *moves;
    size_t before, count;

    watch_rig_vocal(rig, ROOM_SHOW);
    moves = engine_moves(rig->rig.engine);
    moves_jumps(moves, &before);
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        assert_false(moves_restore_jump(moves, &none[i], 0));
    for (int i = 0; i < 3 * JUMPS_KEPT; i++)
        assert_true(moves_restore_jump(moves, &leapt, 0));
    moves_jumps(moves, &count);
    assert_int_equal(count, before + 1); /* of one value there is one */
}

static void
a_leap_on_a_muted_input_is_none(void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, ROOM_SHOW);
    rig_set(&rig->rig, PARAM_INPUT_MUTE, 0, 0, 1);
    watch_rig_begin(rig);
    watch_rig_move(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 50);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "");
}

static void
talkback_left_on_is_told_after_a_minute(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_SHOW);

    watch_rig_move(rig, PARAM_DESK_TALKBACK, 0, 0, 1);
    watch_rig_pass(rig, 59000);
    assert_string_equal(rig->text, "");
    watch_rig_pass(rig, 2000);
    assert_string_equal(rig->text, "none -1: raised left-on desk;\n");
}

static void
protection_that_is_lost_is_told(void **state)
{
    static const struct {
        enum param_id id;
        int row;
        double before, after;
        const char *expected; /* NULL: nothing */
    } rows[] = {
        {PARAM_MIX_LIMITER_ON, 0, 1, 0, "raised protection-lost mix 1;"},
        {PARAM_MIX_LIMITER_ON, 1, 1, 0, "raised ears-unprotected mix 2;"},
        {PARAM_MIX_LIMITER_THRESHOLD, 0, -12, -5, "raised protection-lost mix 1;"},
        {PARAM_MIX_LIMITER_THRESHOLD, 0, -12, -8, NULL},
        {PARAM_MIX_HIGH_PASS_ON, 2, 1, 0, "raised protection-lost mix 3;"},
        {PARAM_MIX_HIGH_PASS_ON, 2, 0, 1, NULL},
        {PARAM_INPUT_HIGH_PASS_ON, 0, 1, 0, "raised protection-lost input 1;"},
        {PARAM_INPUT_HIGH_PASS_ON, 5, 1, 0, NULL}, /* sent nowhere */
        {PARAM_INPUT_PHANTOM, 0, 0, 1, "raised protection-lost input 1;"},
        {PARAM_INPUT_PHANTOM, 0, 1, 0, "raised protection-lost input 1;"},
    };
    struct watch_rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        watch_rig_vocal(rig, ROOM_SHOW);
        rig_set(&rig->rig, rows[i].id, rows[i].row, 0, rows[i].before);
        watch_rig_begin(rig);
        watch_rig_move(rig, rows[i].id, rows[i].row, 0, rows[i].after);
        watch_rig_pass(rig, 5000);
        if (rows[i].expected)
            assert_contains(rig->text, rows[i].expected);
        assert_row(params[rows[i].id].name, rig->messages, rows[i].expected != NULL);
        watch_rig_move(rig, rows[i].id, rows[i].row, 0, rows[i].before);
        watch_rig_pass(rig, MINUTE_MS);
        assert_row(params[rows[i].id].name, rig->messages, rows[i].expected ? 2 : 0);
    }
}

static void
what_changed_while_setting_up_is_the_new_ground(void **state)
{
    struct watch_rig *rig = watch_rig_begun(state, ROOM_LINE_CHECK);

    watch_rig_move(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "");
    watcher_set_room(rig->watcher, ROOM_SHOW, "doors are open", INT64_MAX, rig->rig.now_ms);
    watch_rig_pass(rig, MINUTE_MS);
    assert_string_equal(rig->text, "");
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        WATCH_RIG_TEST(leaps_into_ears_weigh_by_their_length),
        WATCH_RIG_TEST(leaps_are_counted_as_the_desk_shows_them),
        WATCH_RIG_TEST(value_on_a_threshold_is_one_finding),
        WATCH_RIG_TEST(short_moves_are_not_told),
        WATCH_RIG_TEST(little_margin_left_is_told_at_once),
        WATCH_RIG_TEST(a_slide_is_told_when_it_stops),
        WATCH_RIG_TEST(a_preamp_that_moves_many_paths_is_one_message),
        WATCH_RIG_TEST(a_group_that_moves_many_inputs_is_one_message),
        WATCH_RIG_TEST(ten_thousand_findings_at_once_are_two_messages),
        WATCH_RIG_TEST(stop_does_not_wait_and_what_follows_is_folded_in),
        WATCH_RIG_TEST(what_followed_but_did_not_come_is_told),
        WATCH_RIG_TEST(raised_and_cleared_by_one_move_is_one_message),
        WATCH_RIG_TEST(the_room_holds_back_and_lets_go),
        WATCH_RIG_TEST(what_ends_while_held_back_is_never_told),
        WATCH_RIG_TEST(what_ends_is_told_even_when_the_room_holds_back),
        WATCH_RIG_TEST(changeover_ends_by_itself),
        WATCH_RIG_TEST(quieted_is_told_when_it_outlasts_it),
        WATCH_RIG_TEST(quieting_spares_stop_unless_it_says_so),
        WATCH_RIG_TEST(a_muted_mix_holds_back_until_it_opens),
        WATCH_RIG_TEST(a_lost_desk_is_silent_and_its_return_one_message),
        WATCH_RIG_TEST(silent_after_a_restart_when_nothing_changed),
        WATCH_RIG_TEST(what_changed_while_away_is_told),
        WATCH_RIG_TEST(a_send_that_leaps_is_told_and_over_when_taken_back),
        WATCH_RIG_TEST(riding_and_opening_are_no_leaps),
        WATCH_RIG_TEST(a_leap_left_alone_was_meant),
        WATCH_RIG_TEST(a_master_that_leaps_up_is_told_once),
        WATCH_RIG_TEST(a_master_that_stays_up_is_how_it_is_set),
        WATCH_RIG_TEST(a_master_that_goes_down_or_is_nudged_does_not_leap),
        WATCH_RIG_TEST(a_master_that_rose_while_the_desk_was_lost_stands),
        WATCH_RIG_TEST(a_leap_that_nobody_tells_is_not_folded),
        WATCH_RIG_TEST(a_watch_knows_what_a_mix_carries),
        WATCH_RIG_TEST(two_ears_are_told_as_they_go),
        WATCH_RIG_TEST(a_leap_of_before_a_restart_is_remembered),
        WATCH_RIG_TEST(a_leap_taken_back_while_away_is_over),
        WATCH_RIG_TEST(a_leap_of_before_a_restart_ends_in_its_time),
        WATCH_RIG_TEST(no_leap_is_taken_that_this_desk_cannot_have),
        WATCH_RIG_TEST(a_leap_on_a_muted_input_is_none),
        WATCH_RIG_TEST(talkback_left_on_is_told_after_a_minute),
        WATCH_RIG_TEST(protection_that_is_lost_is_told),
        WATCH_RIG_TEST(what_changed_while_setting_up_is_the_new_ground),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
