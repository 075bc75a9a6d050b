/* SPDX-License-Identifier: MIT */
/* What helps: each kind where its win can be worked out by hand, and all of them beside plans that are
 * changed by hand and worked out from scratch.
 */
#include "stage_rig.h"
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "stage/ears.h"
#include "stage/hand.h"
#include "stage/help.h"
#include "stage/vector.h"

/* A cardioid of input 0 on a stand, a wedge of mix 0 as far to its side and behind it as said, alike
 * all round, in the open. */
static struct stage *
one_pair(double off_axis_degrees)
{
    struct stage *stage = stage_new();
    double angle = angle_radians(off_axis_degrees);
    struct place wedge = {2 * sin(angle), 2 * cos(angle), 1.5};

    stage->critical_m.number = HUGE_VAL;
    stage_rig_microphone(stage, 0, (struct place){0, 0, 1.5})->axis = (struct place){0, 1, 0};
    stage_rig_loudspeaker(stage, 0, wedge)->beam = stage_rig_all_round;
    return stage;
}

/* The help of that kind, NULL: none. */
static const struct help *
found(const struct help *helps, int count, enum help_kind kind)
{
    for (int i = 0; i < count; i++)
        if (helps[i].kind == kind)
            return &helps[i];
    return NULL;
}

/* All that helps, and that nothing of the loops was changed by asking. */
static int
ask(struct rig *rig, const struct stage *stage, struct help helps[HELPS_MOST])
{
    struct loops *loops = stage_rig_hear(rig, stage), *fresh = stage_rig_hear(rig, stage);
    int count = helps_of(loops, helps);

    for (int i = 0; i < stage->microphone_count; i++)
        for (int mix = 0; mix < loops->mix_count; mix++)
            assert_near(loops_path(loops, i, mix).gain_db, loops_path(fresh, i, mix).gain_db, 0);
    loops_free(loops);
    loops_free(fresh);
    for (int i = 1; i < count; i++)
        assert_true(helps[i - 1].stage_db >= helps[i].stage_db);
    return count;
}

/* ---- one by one ---- */

/* What the pattern wins at the wedge less what it loses at the mouth, over the turns that are tried. */
static void
a_turn_pays_for_the_voice(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];

    for (int angle = 60; angle <= 180; angle += 15) {
        struct stage *stage = one_pair(angle);
        double best_db = 0;
        const struct help *help;
        struct loops *loops;
        struct help turn;
        int count;

        for (int by = -45; by <= 45; by += 5)
            best_db = fmax(best_db, pattern_db(0.5, angle, -18) - pattern_db(0.5, angle + by, -18) +
                                        pattern_db(0.5, by, -18));
        stage_rig_open_all(rig, 1, 1);
        count = ask(rig, stage, helps);
        help = found(helps, count, HELP_TURN);
        assert_true(best_db >= 1 ? help != NULL : help == NULL);
        if (help) {
            assert_near(help->path_db, best_db, 1e-6);
            assert_near(help->stage_db, best_db, 1e-6);
        }
        loops = stage_rig_hear(rig, stage);
        assert_true(help_turn(loops, 0, &turn));
        assert_near(turn.path_db, best_db, 1e-6);
        loops_free(loops);
        free(stage);
    }
}

static void
a_turn_of_a_pair_is_the_same(void **state)
{
    struct rig *rig = *state;
    struct stage *placed = one_pair(105), *taped = stage_new();
    struct help of_placed[HELPS_MOST], of_taped[HELPS_MOST];
    const struct help *one, *other;

    taped->critical_m.number = HUGE_VAL;
    *stage_add_pair(taped, 0, 0) = (struct stage_pair){0, 0, 2, 105, 0};
    taped->loudspeakers[0].beam = stage_rig_all_round;
    stage_rig_open_all(rig, 1, 1);
    one = found(of_placed, ask(rig, placed, of_placed), HELP_TURN);
    other = found(of_taped, ask(rig, taped, of_taped), HELP_TURN);
    assert_non_null(one);
    assert_non_null(other);
    assert_near(one->path_db, other->path_db, 1e-6);
    assert_near(one->degrees, other->degrees, 0);
    free(placed);
    free(taped);
}

/* With much room around it a turn wins little; and nobody turns what a singer holds. */
static double
turn_db(struct rig *rig, const struct stage *stage)
{
    struct loops *loops = stage_rig_hear(rig, stage);
    struct help help;

    assert_true(help_turn(loops, 0, &help));
    loops_free(loops);
    return help.path_db;
}

static void
a_turn_wins_little_in_a_room_and_nothing_in_a_hand(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = one_pair(120);
    double open_db;

    stage_rig_open_all(rig, 1, 1);
    open_db = turn_db(rig, stage);
    stage->critical_m.number = 3;
    assert_true(turn_db(rig, stage) < open_db - 3);
    assert_null(found(helps, ask(rig, stage, helps), HELP_TURN));
    stage->critical_m.number = HUGE_VAL;
    assert_non_null(found(helps, ask(rig, stage, helps), HELP_TURN));
    stage->microphones[0].in_hand = true;
    assert_null(found(helps, ask(rig, stage, helps), HELP_TURN));
    assert_false(help_may_turn(stage, 0));
    free(stage);
}

/* 20 log10 of the ratio. */
static void
a_nearer_mouth_wins_its_ratio(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = one_pair(180);
    const struct help *help;

    stage_rig_open_all(rig, 1, 1);
    assert_null(found(helps, ask(rig, stage, helps), HELP_MOUTH)); /* it is near */
    stage->microphones[0].mouth_m.number = 0.2;
    help = found(helps, ask(rig, stage, helps), HELP_MOUTH);
    assert_non_null(help);
    assert_near(help->path_db, 20 * log10(4), 1e-9);
    assert_near(help->stage_db, 20 * log10(4), 1e-9);
    assert_near(help->metres, 0.05, 0);
    free(stage);
}

/* Where another microphone leads, a nearer mouth wins the stage little. */
static void
what_wins_a_path_need_not_win_the_stage(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = one_pair(180);
    const struct help *help;

    *stage_add_microphone(stage) = stage->microphones[0];
    stage->microphones[1].inputs = (struct serves){1, {1}};
    stage->microphones[1].mouth_m.number = 0.2;
    stage_rig_open_all(rig, 2, 1);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, -10);
    help = found(helps, ask(rig, stage, helps), HELP_MOUTH);
    assert_non_null(help);
    assert_near(help->path_db, 20 * log10(4), 1e-9);
    assert_near(help->stage_db, 10 * log10(1.1) - 10 * log10(1 + 0.1 / 16), 1e-6);
    free(stage);
}

static void
in_ears_end_the_path(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = one_pair(180);
    const struct help *help;

    stage_rig_open_all(rig, 1, 1);
    help = found(helps, ask(rig, stage, helps), HELP_IN_EARS);
    assert_non_null(help);
    assert_near(help->path_db, HUGE_VAL, 0);
    assert_near(help->stage_db, HUGE_VAL, 0);
    free(stage);
}

/* Of two that are alike one less is 3 dB, of four 10 log10(4 / 3). */
static void
closing_one_of_n_wins_its_share(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];

    for (int count = 2; count <= 4; count++) {
        struct stage *stage = one_pair(180);
        const struct help *help;

        for (int i = 1; i < count; i++) {
            *stage_add_microphone(stage) = stage->microphones[0];
            stage->microphones[i].inputs = (struct serves){1, {i}};
        }
        stage_rig_open_all(rig, count, 1);
        help = found(helps, ask(rig, stage, helps), HELP_CLOSE);
        assert_non_null(help);
        assert_near(help->stage_db, 10 * log10((double)count / (count - 1)), 1e-9);
        assert_near(help->path_db, HUGE_VAL, 0);
        free(stage);
    }
}

/* What somebody needs stays open: by the show file's players, by the labels, or because the plan has it
 * before their ears. */
static void
nobody_closes_a_players_own(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = one_pair(180);
    struct stage_ears *ears;

    stage_rig_open_all(rig, 1, 1);
    assert_non_null(found(helps, ask(rig, stage, helps), HELP_CLOSE));
    strcpy(rig->show->inputs[0].player, "keys");
    strcpy(rig->show->mixes[0].player, "Keys");
    assert_null(found(helps, ask(rig, stage, helps), HELP_CLOSE));
    stage_rig_open_all(rig, 1, 1);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ld Vox");
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Ld Vox wedge");
    assert_null(found(helps, ask(rig, stage, helps), HELP_CLOSE));
    stage_rig_open_all(rig, 1, 1);
    ears = stage_add_ears(stage);
    ears->mix = 0;
    ears->at = (struct place){0, 0.1, 1.6};
    assert_null(found(helps, ask(rig, stage, helps), HELP_CLOSE));
    free(stage);
}

/* In the open at 110 degrees a hypercardioid's null (109.5, DPA Microphones dictionary) is as deep as the
 * floor; straight behind, no tighter pattern hears less than a cardioid. */
static void
a_tighter_pattern_wins_where_its_null_is(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = one_pair(110);
    const struct help *help;
    double cardioid_db = pattern_db(0.5, 110, -18) + pattern_rows[PATTERN_CARDIOID].allowance_db;

    stage_rig_open_all(rig, 1, 1);
    help = found(helps, ask(rig, stage, helps), HELP_PATTERN);
    assert_non_null(help);
    assert_int_equal(help->pattern, PATTERN_HYPERCARDIOID);
    assert_near(help->path_db, cardioid_db + 18 - pattern_rows[PATTERN_HYPERCARDIOID].allowance_db,
                1e-6);
    free(stage);
    stage = one_pair(180);
    stage_rig_open_all(rig, 1, 1);
    assert_null(found(helps, ask(rig, stage, helps), HELP_PATTERN));
    free(stage);
}

static void
a_high_pass_helps_where_the_lows_lead(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = one_pair(180);
    const struct help *help;

    stage_rig_open_all(rig, 1, 1);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 20, 9); /* 2 kHz */
    assert_null(found(helps, ask(rig, stage, helps), HELP_HIGH_PASS));
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 20, 0);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 5, 8); /* 63 Hz: which band leads is not so sure */
    assert_null(found(helps, ask(rig, stage, helps), HELP_HIGH_PASS));
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 5, 15);
    help = found(helps, ask(rig, stage, helps), HELP_HIGH_PASS);
    assert_non_null(help);
    assert_near(help->path_db, 9, 0.5); /* 6 dB less is allowed there, and the rest stands at 0 */
    assert_near(help->hz, 120, 0);
    free(stage);
}

/* One that is on is turned up, not joined by a second: what it takes already is not won again. A send
 * before it and a microphone that feeds two inputs win nothing by it. */
static void
a_high_pass_takes_the_place_of_the_one_that_is_on(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = one_pair(180);
    const struct help *help;

    stage_rig_open_all(rig, 2, 1);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 5, 15); /* 63 Hz */
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 6, 12);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 1);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 50);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_SLOPE, 0, 0, 18);
    help = found(helps, ask(rig, stage, helps), HELP_HIGH_PASS);
    assert_non_null(help);
    assert_true(help->path_db > 5);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 120);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 8, 15); /* 125 Hz */
    assert_null(found(helps, ask(rig, stage, helps), HELP_HIGH_PASS));
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 8, 0);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    assert_non_null(found(helps, ask(rig, stage, helps), HELP_HIGH_PASS));
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_EQ);
    assert_null(found(helps, ask(rig, stage, helps), HELP_HIGH_PASS));
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_FADER);
    stage->microphones[0].inputs = (struct serves){2, {0, 1}};
    assert_null(found(helps, ask(rig, stage, helps), HELP_HIGH_PASS));
    free(stage);
}

/* ---- the wedge ---- */

/* A singer behind the microphone, the wedge wrongly beside: as a plan with ears. */
static struct stage *
with_ears(double off_axis_degrees)
{
    struct stage *stage = one_pair(off_axis_degrees);
    struct stage_ears *ears = stage_add_ears(stage);

    ears->mix = 0;
    ears->at = (struct place){0, 0.1, 1.6};
    stage->loudspeakers[0].at.z_m = 0.3;
    stage->critical_m.number = 3;
    return stage;
}

/* The wedge by hand where the help says; then everything anew. */
static void
moved_by_hand_it_wins_as_much(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();
    int tried = 0;

    stage_rig_open_all(rig, 1, 1);
    for (int round = 0; round < 40; round++) {
        struct stage *stage = with_ears(dice_between(&dice, 10, 170)), *moved = stage_new();
        enum help_kind kind = round % 2 ? HELP_NULL : HELP_NEARER;
        struct help helps[HELPS_MOST];
        int count = ask(rig, stage, helps);
        const struct help *help = found(helps, count, kind);
        struct loops *before = stage_rig_hear(rig, stage), *after;

        if (help) {
            double path_db, ears_db;

            *moved = *stage;
            moved->loudspeakers[0].at = help->to; /* facing the ears by default */
            after = stage_rig_hear(rig, moved);
            path_db = loops_path(before, 0, 0).gain_db - loops_path(after, 0, 0).gain_db;
            ears_db = ears_gain_db(after, 0, 0, 0) - ears_gain_db(before, 0, 0, 0);
            assert_near(help->path_db, path_db + ears_db, 1e-9);
            assert_near(help->stage_db, path_db + ears_db, 0.02);
            loops_free(after);
        }
        tried += help != NULL;
        loops_free(before);
        free(stage);
        free(moved);
    }
    assert_true(tried >= 10);
}

/* Beside a cardioid it goes behind it: there the null is, and the ears hear as much as before. */
static void
the_wedge_goes_where_the_null_is(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = with_ears(60);
    struct help helps[HELPS_MOST];
    const struct help *help;
    double radius_m;

    stage_rig_open_all(rig, 1, 1);
    help = found(helps, ask(rig, stage, helps), HELP_NULL);
    assert_non_null(help);
    radius_m = vector_length(vector_from(stage->ears[0].at, stage->loudspeakers[0].at));
    assert_near(vector_length(vector_from(stage->ears[0].at, help->to)), radius_m, 1e-9);
    assert_near(help->to.z_m, 0.3, 1e-12);
    assert_true(vector_degrees(stage->microphones[0].axis,
                               vector_from(stage->microphones[0].at, help->to)) > 135);
    assert_true(help->path_db > 3);
    free(stage);
}

static void
a_nearer_wedge_wins_at_the_ears(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = with_ears(180);
    struct help helps[HELPS_MOST];
    const struct help *help;
    struct place ears = stage->ears[0].at;

    stage_rig_open_all(rig, 1, 1);
    stage->loudspeakers[0].at.y_m = -4; /* far off: the microphone hears the room */
    help = found(helps, ask(rig, stage, helps), HELP_NEARER);
    assert_non_null(help);
    assert_near(vector_length(vector_from(ears, help->to)),
                0.7 * vector_length(vector_from(ears, stage->loudspeakers[0].at)), 1e-9);
    assert_near(help->metres, vector_length(vector_from(ears, help->to)), 1e-9);
    assert_true(help->path_db > 1 && help->path_db < 20 * log10(1 / 0.7));
    free(stage);
}

/* ---- the hand ---- */

/* What its pattern took off there, in the open; less in a room; nothing of one that hears all round. */
static void
a_hand_takes_what_the_pattern_gave(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = one_pair(120);
    struct loops *loops;

    stage_rig_open_all(rig, 1, 1);
    loops = stage_rig_hear(rig, stage);
    assert_near(hand_loss_db(loops, 0), 12.0412, 1e-3);
    loops_free(loops);
    stage->critical_m.number = 2;
    loops = stage_rig_hear(rig, stage);
    assert_near(hand_loss_db(loops, 0), 10 * log10((0.25 + 0.25) / (0.25 / 16 + 0.25 / 3)), 1e-3);
    loops_free(loops);
    stage->microphones[0].pattern = PATTERN_OMNIDIRECTIONAL;
    loops = stage_rig_hear(rig, stage);
    assert_near(hand_loss_db(loops, 0), 0, 1e-9);
    loops_free(loops);
    rig_set(rig, PARAM_SEND_ON, 0, 0, 0);
    loops = stage_rig_hear(rig, stage);
    assert_near(hand_loss_db(loops, 0), 0, 0);
    loops_free(loops);
    free(stage);
}

static void
nothing_helps_where_nothing_rings(void **state)
{
    struct rig *rig = *state;
    struct stage *stage = one_pair(90);
    struct help helps[HELPS_MOST];

    rig_start(rig, 1, 1); /* every send is off */
    assert_int_equal(ask(rig, stage, helps), 0);
    free(stage);
}

int
main(void)
{
    static const struct CMUnitTest tests[] = {
        RIG_TEST(a_turn_pays_for_the_voice),
        RIG_TEST(a_turn_of_a_pair_is_the_same),
        RIG_TEST(a_turn_wins_little_in_a_room_and_nothing_in_a_hand),
        RIG_TEST(a_nearer_mouth_wins_its_ratio),
        RIG_TEST(what_wins_a_path_need_not_win_the_stage),
        RIG_TEST(in_ears_end_the_path),
        RIG_TEST(closing_one_of_n_wins_its_share),
        RIG_TEST(nobody_closes_a_players_own),
        RIG_TEST(a_tighter_pattern_wins_where_its_null_is),
        RIG_TEST(a_high_pass_helps_where_the_lows_lead),
        RIG_TEST(a_high_pass_takes_the_place_of_the_one_that_is_on),
        RIG_TEST(moved_by_hand_it_wins_as_much),
        RIG_TEST(the_wedge_goes_where_the_null_is),
        RIG_TEST(a_nearer_wedge_wins_at_the_ears),
        RIG_TEST(a_hand_takes_what_the_pattern_gave),
        RIG_TEST(nothing_helps_where_nothing_rings),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
