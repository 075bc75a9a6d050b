/* SPDX-License-Identifier: MIT */
/* Everything that differs from the approved desk goes back, whatever the checks say of it: by hand,
 * and ten thousand random desks. Each card leads to the approved values and nowhere else; softer
 * first, summed up anew by loudness.c; behind all of them every path of which nothing stopped a card
 * is as loud as when it was approved, and there is nothing left to put back.
 */
#include "loudness.h"
#include "rig.h"
#include "scene.h"

#include <math.h>

#include "advice/plan.h"
#include "change/offset.h"

enum { DESKS = 10000, INPUTS = SCENE_INPUTS, MIXES = SCENE_MIXES };

static struct plan *
plan_of(const struct show *show, const struct desk *approved, const struct desk *desk)
{
    struct ground ground = {.desk = desk, .show = show, .approved = approved};
    struct plan_wish wish = {.ground = &ground, .set = &check_set_all, .ways = PLAN_ALL_BACK};

    return plan_new(&wish);
}

/* ---- by hand ---- */

enum { VOX, KEYS };

static struct desk *
start(struct rig *rig)
{
    rig_start(rig, 2, 3);
    for (int mix = 0; mix < 3; mix++)
        rig_set(rig, PARAM_SEND_LEVEL, VOX, mix, -6 * mix);
    rig_set(rig, PARAM_SEND_LEVEL, KEYS, 2, 0);
    return desk_copy(rig->desk);
}

static void
assert_move(const struct plan *plan, size_t card, size_t move, enum param_id id, int row,
            int column, double to)
{
    assert_true(card < plan->count && move < plan->cards[card].count);
    assert_int_equal(plan->cards[card].kind, CARD_PUT_BACK);
    assert_string_equal(params[plan->cards[card].moves[move].id].name, params[id].name);
    assert_int_equal(plan->cards[card].moves[move].row, row);
    assert_int_equal(plan->cards[card].moves[move].column, column);
    assert_near(plan->cards[card].moves[move].to, to, 1e-9);
}

/* Sends that were ridden are no drift to any check, and go back all the same. */
static void
what_no_check_minds(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);
    struct plan *plan;

    rig_set(rig, PARAM_SEND_LEVEL, VOX, 0, 3);
    rig_set(rig, PARAM_INPUT_EQ_BAND_GAIN, KEYS, 1, 2);
    rig_set(rig, PARAM_INPUT_MUTE, KEYS, 0, 1);
    rig_set(rig, PARAM_INPUT_FADER, KEYS, 0, -20); /* no send follows it */
    plan = plan_of(rig->show, before, rig->desk);
    assert_int_equal(plan->count, 2);
    assert_move(plan, 0, 0, PARAM_SEND_LEVEL, VOX, 0, 0);
    assert_move(plan, 1, 0, PARAM_INPUT_EQ_BAND_GAIN, KEYS, 1, 0);
    assert_int_equal(plan->cards[0].count + plan->cards[1].count, 2);
    assert_true(plan_card_moving(plan, PARAM_SEND_LEVEL, VOX, 0) == 0);
    assert_true(plan_card_moving(plan, PARAM_INPUT_MUTE, KEYS, 0) == PLAN_NO_CARD);
    plan_free(plan);
    desk_free(before);
}

/* A re-trim stays, also beside something that goes back; a whole object is one card, softer first. */
static void
another_offset_stays(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);
    struct plan *plan;

    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 20);
    for (int mix = 0; mix < 3; mix++)
        rig_set(rig, PARAM_SEND_LEVEL, VOX, mix, 10 - 6 * mix);
    plan = plan_of(rig->show, before, rig->desk);
    assert_int_equal(plan->count, 0);
    plan_free(plan);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, VOX, 0, 80);
    plan = plan_of(rig->show, before, rig->desk);
    assert_int_equal(plan->count, 1);
    assert_int_equal(plan->cards[0].count, 1);
    assert_move(plan, 0, 0, PARAM_INPUT_HIGH_PASS_FREQ, VOX, 0, 100);
    plan_free(plan);
    rig_set(rig, PARAM_SEND_LEVEL, VOX, 1, 10);
    plan = plan_of(rig->show, before, rig->desk);
    assert_int_equal(plan->count, 1);
    assert_int_equal(plan->cards[0].count, 5);
    assert_move(plan, 0, 4, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 30);
    plan_free(plan);
    desk_free(before);
}

/* What balanced the offset of an input goes back, and so does the input then. */
static void
an_offset_that_lost_its_balance(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);
    struct plan *plan;

    rig_set(rig, PARAM_MIX_FADER, 2, 0, 6);
    rig_set(rig, PARAM_INPUT_TRIM, KEYS, 0,
            -6); /* the voice is 6 dB louder there, the keys are not */
    plan = plan_of(rig->show, before, rig->desk);
    assert_int_equal(plan->count, 2);
    assert_move(plan, 0, 0, PARAM_MIX_FADER, 2, 0, 0);
    assert_move(plan, 1, 0, PARAM_INPUT_TRIM, KEYS, 0, 0);
    assert_near(plan->cards[1].louder_db, 6, 1e-9);
    plan_free(plan);
    desk_free(before);
}

/* The desk's card has the groups, and says how much louder it ends. */
static void
groups_go_back_too(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);
    struct plan *plan;

    for (int side = 0; side < 2; side++) {
        struct desk *desk = side == 0 ? before : rig->desk;

        desk_set(desk, PARAM_SEND_TAP, VOX, 0, TAP_POST_FADER, 1);
        desk_set(desk, PARAM_INPUT_GROUP, VOX, 1, 1, 1);
    }
    rig_set(rig, PARAM_GROUP_FADER, 0, 0, -9); /* nobody belongs to it */
    rig_set(rig, PARAM_GROUP_FADER, 1, 0, -7);
    plan = plan_of(rig->show, before, rig->desk);
    assert_int_equal(plan->count, 1);
    assert_int_equal(plan->cards[0].count, 1);
    assert_move(plan, 0, 0, PARAM_GROUP_FADER, 1, 0, 0);
    assert_near(plan->cards[0].louder_db, 7, 1e-9);
    plan_free(plan);
    desk_free(before);
}

/* Gains do not wait for an equaliser that is louder half-way back. */
static void
an_equaliser_that_moved_sideways(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);
    struct plan *plan;

    for (int band = 0; band < 2; band++) {
        desk_set(before, PARAM_INPUT_EQ_BAND_GAIN, VOX, band, band == 0 ? 9 : -9, 1);
        desk_set(before, PARAM_INPUT_EQ_BAND_FREQ, VOX, band, 1000, 1);
        rig_set(rig, PARAM_INPUT_EQ_BAND_GAIN, VOX, band, band == 0 ? 9 : -9);
        rig_set(rig, PARAM_INPUT_EQ_BAND_FREQ, VOX, band, 4000);
    }
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 41.4);
    plan = plan_of(rig->show, before, rig->desk);
    assert_int_equal(plan->count, 1);
    assert_int_equal(plan->cards[0].count, 1);
    assert_move(plan, 0, 0, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 30);
    assert_int_equal(plan->stop_count, 1);
    assert_int_equal(plan->stops[0].reason, STOP_SIDEWAYS);
    plan_free(plan);
    desk_free(before);
}

/* A value that is not known keeps its object back where something of it moved, and says nothing where
 * nothing did. */
static void
what_is_not_known(void **state)
{
    struct rig *rig = *state;
    struct desk *before;
    struct plan *plan;

    rig_start(rig, 2, 3);
    rig_forget(rig, PARAM_INPUT_TRIM, SUPPLY_HEARD);
    before = desk_copy(rig->desk);
    plan = plan_of(rig->show, before, rig->desk);
    assert_int_equal(plan->count + plan->stop_count, 0);
    plan_free(plan);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 36);
    plan = plan_of(rig->show, before, rig->desk);
    assert_int_equal(plan->count, 0);
    assert_int_equal(plan->stop_count, 1);
    assert_int_equal(plan->stops[0].reason, STOP_NOT_KNOWN);
    plan_free(plan);
    desk_free(before);
}

/* The show file may accept that an object drifted. */
static void
accepted_drift_stays(void **state)
{
    static const struct accept accepts[] = {
        {.check = CHECK_MOVED_FROM_APPROVED, .input = VOX, .mix = -1, .up_to = HUGE_VAL}};
    struct rig *rig = *state;
    struct desk *before;
    struct plan *plan;

    rig_start_accepts(rig, 2, 3, accepts, 1);
    before = desk_copy(rig->desk);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 36);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, KEYS, 0, 36);
    plan = plan_of(rig->show, before, rig->desk);
    assert_int_equal(plan->count, 1);
    assert_move(plan, 0, 0, PARAM_INPUT_PREAMP_GAIN, KEYS, 0, 30);
    plan_free(plan);
    desk_free(before);
}

/* ---- random desks ---- */

static double
number_of(const struct desk *desk, const struct card_move *move)
{
    return value_last_heard(desk_value(desk, move->id, move->row, move->column));
}

/* The most that a path is louder than on both others. */
static double
excess_db(const struct desk *now, const struct desk *one, const struct desk *other)
{
    double most_db = 0;

    for (int input = 0; input < INPUTS; input++)
        for (int mix = 0; mix < MIXES; mix++) {
            double levels[3][LOUDNESS_LEVELS];

            loudness_of(now, input, mix, levels[0]);
            loudness_of(one, input, mix, levels[1]);
            loudness_of(other, input, mix, levels[2]);
            for (int level = 0; level < LOUDNESS_LEVELS; level++)
                if (levels[0][level] > fmax(levels[1][level], levels[2][level]) + most_db)
                    most_db = levels[0][level] - fmax(levels[1][level], levels[2][level]);
        }
    return most_db;
}

/* Each move leads from where the control stands to where it was approved. */
static void
carry_out(struct desk *desk, const struct card *card, const struct desk *approved)
{
    struct desk *before = desk_copy(desk), *after = desk_copy(desk);

    assert_int_equal(card->kind, CARD_PUT_BACK);
    for (size_t i = 0; i < card->count; i++) {
        assert_true(number_of(desk, &card->moves[i]) == card->moves[i].now);
        assert_true(number_of(approved, &card->moves[i]) == card->moves[i].to);
        scene_apply(after, &card->moves[i]);
    }
    for (size_t i = 0; i < card->count; i++) {
        scene_apply(desk, &card->moves[i]);
        if (excess_db(desk, before, after) > 0.1)
            fail_msg("%g dB louder behind %zu of %zu moves of input %d mix %d (%s)",
                     excess_db(desk, before, after), i + 1, card->count, card->object.input,
                     card->object.mix, params[card->moves[i].id].name);
    }
    desk_free(before);
    desk_free(after);
}

static bool
is_stopped(const struct plan *plan, int input, int mix)
{
    for (size_t i = 0; i < plan->stop_count; i++) {
        struct object object = plan->stops[i].object;

        if (object.input < 0 ? object.mix < 0 || object.mix == mix : object.input == input)
            return true;
    }
    return false;
}

/* An input that shares its preamp with a stopped one has the other's preamp. */
static bool
is_any_input_stopped(const struct plan *plan)
{
    for (size_t i = 0; i < plan->stop_count; i++)
        if (plan->stops[i].object.input >= 0)
            return true;
    return false;
}

static bool
is_same(const struct desk *one, const struct desk *other, enum param_id id, int row)
{
    return value_last_heard(desk_value(one, id, row, 0)) ==
           value_last_heard(desk_value(other, id, row, 0));
}

/* Another offset stays, and what moved by less than counts: then a gate or a compressor meets another
 * level, as compare says of an offset. */
static bool
meets_another_level(const struct desk *approved, const struct desk *desk, int input)
{
    bool at_work = value_last_heard(desk_value(desk, PARAM_INPUT_GATE_ON, input, 0)) != 0 ||
                   value_last_heard(desk_value(desk, PARAM_INPUT_COMP_ON, input, 0)) != 0;

    return at_work && !(is_same(approved, desk, PARAM_INPUT_PREAMP_GAIN, input) &&
                        is_same(approved, desk, PARAM_INPUT_TRIM, input));
}

/* As loud as approved, but for what an offset leaves over, and what is too little to be a move. */
static void
path_as_approved(const struct desk *approved, const struct desk *desk, int input, int mix)
{
    double was[LOUDNESS_LEVELS], is[LOUDNESS_LEVELS];
    double rest_db = OFFSET_TOLERANCE_DB + 2 * 0.05;

    loudness_of(approved, input, mix, was);
    loudness_of(desk, input, mix, is);
    for (int level = 0; level < LOUDNESS_LEVELS; level++)
        if (was[level] != is[level] && fabs(was[level] - is[level]) > rest_db)
            fail_msg("input %d, mix %d: %g dB, was %g dB", input, mix, is[level], was[level]);
}

static size_t
all_as_approved(const struct plan *plan, const struct desk *approved, const struct desk *desk)
{
    size_t paths = 0;

    for (int input = 0; input < INPUTS && !is_any_input_stopped(plan); input++)
        for (int mix = 0; mix < MIXES; mix++) {
            if (is_stopped(plan, input, mix) || meets_another_level(approved, desk, input))
                continue;
            path_as_approved(approved, desk, input, mix);
            paths++;
        }
    return paths;
}

/* On a grid what moved by less than a step did not move: here every move counts. */
static void
make_smooth(struct desk *desk)
{
    for (int id = 0; id < PARAMS; id++)
        desk_set_step(desk, (enum param_id)id, 0);
}

static void
random_desks_go_back(void **state)
{
    struct dice dice = dice_new();
    size_t cards = 0, stops = 0, paths = 0;

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        struct scene scene = scene_random(&dice);
        struct plan *plan, *again;

        if (!scene.approved) {
            scene_free(&scene);
            continue;
        }
        make_smooth(scene.desk);
        plan = plan_of(scene.show, scene.approved, scene.desk);
        for (size_t card = 0; card < plan->count; card++)
            carry_out(scene.desk, &plan->cards[card], scene.approved);
        paths += all_as_approved(plan, scene.approved, scene.desk);
        again = plan_of(scene.show, scene.approved, scene.desk);
        assert_int_equal(again->count, 0);
        cards += plan->count;
        stops += plan->stop_count;
        plan_free(again);
        plan_free(plan);
        scene_free(&scene);
    }
    print_message("%zu cards, %zu stops, %zu paths as approved\n", cards, stops, paths);
    assert_true(cards > DESKS / 2 && stops > DESKS / 100 && paths > DESKS);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {RIG_TEST(what_no_check_minds),
                                       RIG_TEST(another_offset_stays),
                                       RIG_TEST(an_offset_that_lost_its_balance),
                                       RIG_TEST(groups_go_back_too),
                                       RIG_TEST(an_equaliser_that_moved_sideways),
                                       RIG_TEST(what_is_not_known),
                                       RIG_TEST(accepted_drift_stays),
                                       cmocka_unit_test(random_desks_go_back)};

    return cmocka_run_group_tests_name("all_back", tests, NULL, NULL);
}
