/* SPDX-License-Identifier: MIT */
/* Random desks, given random offsets: one that leaves every path gain alone is always recognised,
 * one send off by more than the tolerance is never hidden, and whatever is folded belongs to a path
 * whose gain, summed up here from the desk's own values, is known on both sides and agrees. Seed
 * printed; GW_SEED=seed has it again.
 */
#include "unit.h"

#include <math.h>
#include <stdlib.h>

#include "change/difference.h"
#include "change/offset.h"

enum { DESKS = 4000, INPUTS = 6, MIXES = 4, GROUPS = 2 };

static double
number(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(desk, id, row, column);

    return value->state == VALUE_KNOWN ? value_last_heard(value) : NAN;
}

static void
set(struct desk *desk, enum param_id id, int row, int column, double to)
{
    assert_int_not_equal(desk_set(desk, id, row, column, to, 1), CHANGE_REFUSED);
}

static void
add(struct desk *desk, enum param_id id, int row, int column, double by)
{
    set(desk, id, row, column, number(desk, id, row, column) + by);
}

/* ---- a random desk ---- */

static double
random_level(struct dice *dice)
{
    return dice_below(dice, 6) == 0 ? -HUGE_VAL : round(dice_between(dice, -20, 5) * 10) / 10;
}

static void
fill_input(struct dice *dice, struct desk *desk, int input)
{
    int preamp = dice_below(dice, INPUTS);

    set(desk, PARAM_INPUT_PREAMP, input, 0, preamp);
    set(desk, PARAM_INPUT_PREAMP_GAIN, input, 0, 20 + preamp); /* one control, one gain */
    set(desk, PARAM_INPUT_PAD, input, 0, preamp % 2 * 20);
    set(desk, PARAM_INPUT_TRIM, input, 0, dice_between(dice, -6, 6));
    set(desk, PARAM_INPUT_COMP_ON, input, 0, dice_below(dice, 2));
    set(desk, PARAM_INPUT_COMP_MAKEUP, input, 0, dice_between(dice, 0, 6));
    set(desk, PARAM_INPUT_FADER, input, 0, random_level(dice));
    for (int group = 0; group < GROUPS; group++)
        set(desk, PARAM_INPUT_GROUP, input, group, dice_below(dice, 3) == 0);
    for (int mix = 0; mix < MIXES; mix++) {
        set(desk, PARAM_SEND_ON, input, mix, dice_below(dice, 6) > 0);
        set(desk, PARAM_SEND_LEVEL, input, mix, random_level(dice));
        set(desk, PARAM_SEND_TAP, input, mix, dice_below(dice, 3));
    }
}

static struct desk *
random_desk(struct dice *dice)
{
    struct desk_counts counts = {
        .of = {[INDEX_INPUT] = INPUTS, [INDEX_MIX] = MIXES, [INDEX_GROUP] = GROUPS}};
    struct desk *desk = desk_new(&counts);

    assert_non_null(desk);
    for (int id = 0; id < PARAMS; id++)
        desk_supply(desk, (enum param_id)id, SUPPLY_HEARD);
    for (int input = 0; input < INPUTS; input++)
        fill_input(dice, desk, input);
    for (int group = 0; group < GROUPS; group++)
        set(desk, PARAM_GROUP_FADER, group, 0, random_level(dice));
    for (int mix = 0; mix < MIXES; mix++) {
        set(desk, PARAM_MIX_FADER, mix, 0, random_level(dice));
        set(desk, PARAM_MIX_TRIM, mix, 0, dice_between(dice, -3, 3));
    }
    desk_set_step(desk, PARAM_SEND_LEVEL, dice_below(dice, 2) * 0.5);
    return desk;
}

/* ---- path gains, summed up anew ---- */

static double
of_fader_db(const struct desk *desk, int input)
{
    double sum_db = number(desk, PARAM_INPUT_FADER, input, 0);

    for (int group = 0; group < GROUPS; group++) {
        double member = number(desk, PARAM_INPUT_GROUP, input, group);

        sum_db += isnan(member) ? NAN : member != 0 ? number(desk, PARAM_GROUP_FADER, group, 0) : 0;
    }
    return sum_db;
}

/* NAN: not known. */
static double
gain_db(const struct desk *desk, int input, int mix)
{
    double on = number(desk, PARAM_SEND_ON, input, mix);
    double tap = number(desk, PARAM_SEND_TAP, input, mix);
    double sent_db =
        number(desk, PARAM_SEND_LEVEL, input, mix) + number(desk, PARAM_MIX_FADER, mix, 0);
    double compressed = number(desk, PARAM_INPUT_COMP_ON, input, 0);
    double sum_db = sent_db + number(desk, PARAM_INPUT_PREAMP_GAIN, input, 0) -
                    number(desk, PARAM_INPUT_PAD, input, 0) +
                    number(desk, PARAM_INPUT_TRIM, input, 0) + number(desk, PARAM_MIX_TRIM, mix, 0);

    if (on == 0 || (on == 1 && sent_db == -HUGE_VAL)) /* closed, whatever else is not known */
        return -HUGE_VAL;
    if (isnan(on) || isnan(tap))
        return NAN;
    if (tap != TAP_PRE_EQ && compressed != 0)
        sum_db += compressed * number(desk, PARAM_INPUT_COMP_MAKEUP, input, 0);
    return tap == TAP_POST_FADER ? sum_db + of_fader_db(desk, input) : sum_db;
}

static bool
is_open(const struct desk *desk, int input, int mix)
{
    return gain_db(desk, input, mix) > -HUGE_VAL;
}

static bool
input_is_open(const struct desk *desk, int input)
{
    bool open = false;

    for (int mix = 0; mix < MIXES; mix++)
        open |= is_open(desk, input, mix);
    return open;
}

static bool
preamp_is_open(const struct desk *desk, int input)
{
    bool open = false;

    for (int other = 0; other < INPUTS; other++)
        open |= number(desk, PARAM_INPUT_PREAMP, other, 0) ==
                    number(desk, PARAM_INPUT_PREAMP, input, 0) &&
                input_is_open(desk, other);
    return open;
}

static bool
mix_is_open(const struct desk *desk, int mix)
{
    bool open = false;

    for (int input = 0; input < INPUTS; input++)
        open |= is_open(desk, input, mix);
    return open;
}

/* ---- random offsets ---- */

/* 0, or a move that a person makes. */
static double
random_move(struct dice *dice)
{
    return dice_below(dice, 2) == 0 ? 0 : (1 + dice_below(dice, 8)) * (dice_below(dice, 2) - 0.5);
}

/* Moves heads and masters, and lets the sends make up for it, to half a step. */
static void
offset_desk(struct dice *dice, struct desk *desk)
{
    double preamp_db[INPUTS], pad_db[INPUTS], by_db[MIXES],
        step = desk_step(desk, PARAM_SEND_LEVEL);

    for (int preamp = 0; preamp < INPUTS; preamp++) {
        preamp_db[preamp] = random_move(dice);
        pad_db[preamp] = fabs(random_move(dice));
    }
    for (int mix = 0; mix < MIXES; mix++)
        by_db[mix] = number(desk, PARAM_MIX_FADER, mix, 0) > -HUGE_VAL ? random_move(dice) : 0;
    for (int input = 0; input < INPUTS; input++) {
        int preamp = (int)number(desk, PARAM_INPUT_PREAMP, input, 0);
        double trim_db = random_move(dice), head_db = preamp_db[preamp] - pad_db[preamp] + trim_db;

        for (int mix = 0; mix < MIXES; mix++) {
            double make_up_db = head_db + by_db[mix];

            if (step > 0)
                make_up_db += dice_between(dice, -step / 2, step / 2);
            if (is_open(desk, input, mix) && head_db + by_db[mix] != 0)
                add(desk, PARAM_SEND_LEVEL, input, mix, -make_up_db);
        }
        add(desk, PARAM_INPUT_PREAMP_GAIN, input, 0, preamp_db[preamp]);
        add(desk, PARAM_INPUT_PAD, input, 0, pad_db[preamp]);
        add(desk, PARAM_INPUT_TRIM, input, 0, trim_db);
    }
    for (int mix = 0; mix < MIXES; mix++)
        add(desk, PARAM_MIX_FADER, mix, 0, by_db[mix]);
}

/* What must be folded when every path gain agrees. */
static bool
must_fold(const struct desk *desk, enum param_id id, int row)
{
    switch ((int)id) {
    case PARAM_INPUT_PREAMP_GAIN:
    case PARAM_INPUT_PAD:
        return preamp_is_open(desk, row);
    case PARAM_INPUT_TRIM:
        return input_is_open(desk, row);
    case PARAM_MIX_FADER:
        return mix_is_open(desk, row);
    default:
        assert_int_equal(id, PARAM_SEND_LEVEL); /* only open ones moved */
        return true;
    }
}

struct walk {
    const struct offsets *offsets;
    const struct desk *before, *after;
    int folded, left;
};

static void
check_folded(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct walk *walk = context;
    bool folded = offsets_fold(walk->offsets, id, row, column);

    (void)kind;
    assert_row(params[id].name, folded, must_fold(walk->before, id, row));
    walk->folded += folded;
    walk->left += !folded;
}

static void
an_offset_is_always_recognised(void **state)
{
    struct dice dice = dice_new();
    struct walk walk = {0};

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        struct desk *before = random_desk(&dice), *after = desk_copy(before);
        struct offsets *offsets;

        assert_non_null(after);
        offset_desk(&dice, after);
        offsets = offsets_new(before, after);
        assert_non_null(offsets);
        assert_int_equal(offsets->of[PATH_DIFFERS] + offsets->of[PATH_NOT_KNOWN], 0);
        assert_int_equal(offsets->count, offsets->recognised);
        walk.offsets = offsets;
        walk.before = before;
        difference_all(before, after, check_folded, &walk);
        offsets_free(offsets);
        desk_free(before);
        desk_free(after);
    }
    print_message("%d values folded, %d of closed paths left\n", walk.folded, walk.left);
    assert_true(walk.folded > 20 * DESKS && walk.left > DESKS / 10);
}

/* ---- nothing is hidden ---- */

static bool
pick_open(struct dice *dice, const struct desk *desk, int *input, int *mix)
{
    for (int i = 0; i < 100; i++) {
        *input = dice_below(dice, INPUTS);
        *mix = dice_below(dice, MIXES);
        if (is_open(desk, *input, *mix))
            return true;
    }
    return false;
}

static void
nothing_of_it_is_folded(const struct offsets *offsets, int input, int mix)
{
    assert_false(offsets_fold(offsets, PARAM_SEND_LEVEL, input, mix));
    assert_false(offsets_fold(offsets, PARAM_MIX_FADER, mix, 0));
    assert_false(offsets_fold(offsets, PARAM_MIX_TRIM, mix, 0));
    for (int other = 0; other < INPUTS; other++) {
        if (offsets->preamp_of[other] != offsets->preamp_of[input])
            continue;
        assert_false(offsets_fold(offsets, PARAM_INPUT_PREAMP_GAIN, other, 0));
        assert_false(offsets_fold(offsets, PARAM_INPUT_PAD, other, 0));
        assert_false(offsets_fold(offsets, PARAM_INPUT_TRIM, other, 0));
    }
}

/* A send is put so far off that its path differs by more than the tolerance, among offsets. */
static void
one_send_is_never_hidden(void **state)
{
    struct dice dice = dice_new();
    int hidden_by_nothing = 0;

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        struct desk *before = random_desk(&dice), *after = desk_copy(before);
        double least = fmax(OFFSET_TOLERANCE_DB, desk_step(after, PARAM_SEND_LEVEL));
        double off_db = (least + dice_between(&dice, 0, i % 2 ? 0.01 : 6)) * (i % 4 < 2 ? 1 : -1);
        struct offsets *offsets;
        int input, mix;

        assert_non_null(after);
        offset_desk(&dice, after);
        if (pick_open(&dice, after, &input, &mix)) {
            const struct path_pair *pair;
            double to_db = gain_db(before, input, mix) + off_db - gain_db(after, input, mix);

            add(after, PARAM_SEND_LEVEL, input, mix, to_db);
            offsets = offsets_new(before, after);
            assert_non_null(offsets);
            pair = offsets_path(offsets, input, mix);
            assert_int_equal(pair->same, PATH_DIFFERS);
            assert_int_equal(offsets->of[PATH_DIFFERS], 1);
            assert_near(pair->was.sum_db, gain_db(before, input, mix), 1e-9);
            assert_near(pair->is.sum_db, gain_db(before, input, mix) + off_db, 1e-9);
            nothing_of_it_is_folded(offsets, input, mix);
            offsets_free(offsets);
            hidden_by_nothing++;
        }
        desk_free(before);
        desk_free(after);
    }
    assert_true(hidden_by_nothing > DESKS * 9 / 10);
}

/* Moves or forgets a few values anywhere, so that offsets and differences mix. */
static void
shake(struct dice *dice, struct desk *before, struct desk *after)
{
    static const enum param_id ids[] = {
        PARAM_SEND_LEVEL,       PARAM_SEND_ON,   PARAM_SEND_TAP,    PARAM_INPUT_TRIM,
        PARAM_INPUT_FADER,      PARAM_MIX_FADER, PARAM_MIX_TRIM,    PARAM_INPUT_COMP_ON,
        PARAM_INPUT_PREAMP,     PARAM_INPUT_PAD, PARAM_INPUT_GROUP, PARAM_GROUP_FADER,
        PARAM_INPUT_COMP_MAKEUP};

    for (int moves = dice_below(dice, 4); moves > 0; moves--) {
        enum param_id id = ids[dice_below(dice, (int)(sizeof ids / sizeof *ids))];
        int row = dice_below(dice, desk_rows(after, id));
        int column = dice_below(dice, desk_columns(after, id));

        if (dice_below(dice, 6) == 0)
            desk_set_stale(dice_below(dice, 2) ? before : after, id, row, column);
        else if (params[id].unit == UNIT_DB)
            set(after, id, row, column, dice_below(dice, 8));
        else
            set(after, id, row, column, dice_below(dice, 2));
    }
}

/* Of the input's open paths, none may be unknown or off by the tolerance. */
static void
all_agree(const struct walk *walk, int input, int mix)
{
    double was = gain_db(walk->before, input, mix), is = gain_db(walk->after, input, mix);

    assert_false(isnan(was) || isnan(is));
    assert_true(was == is || fabs(was - is) < walk->offsets->tolerance_db);
}

static void
check_whole(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct walk *walk = context;

    (void)kind;
    if (!offsets_fold(walk->offsets, id, row, column))
        return;
    walk->folded++;
    if (id == PARAM_SEND_LEVEL) {
        all_agree(walk, row, column);
        assert_true(is_open(walk->after, row, column));
    }
    for (int mix = 0;
         params[id].column == INDEX_NONE && params[id].row == INDEX_INPUT && mix < MIXES; mix++)
        for (int other = 0; other < INPUTS; other++)
            if (number(walk->after, PARAM_INPUT_PREAMP, other, 0) ==
                number(walk->after, PARAM_INPUT_PREAMP, row, 0))
                all_agree(walk, other, mix);
    for (int input = 0; params[id].row == INDEX_MIX && input < INPUTS; input++)
        all_agree(walk, input, row);
}

static void
what_is_folded_agrees(void **state)
{
    struct dice dice = dice_new();
    struct walk walk = {0};
    int differ = 0, unknown = 0;

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        struct desk *before = random_desk(&dice), *after = desk_copy(before);
        struct offsets *offsets;

        assert_non_null(after);
        offset_desk(&dice, after);
        shake(&dice, before, after);
        offsets = offsets_new(before, after);
        assert_non_null(offsets);
        walk.offsets = offsets;
        walk.before = before;
        walk.after = after;
        difference_all(before, after, check_whole, &walk);
        differ += offsets->of[PATH_DIFFERS] > 0;
        unknown += offsets->count > offsets->recognised;
        offsets_free(offsets);
        desk_free(before);
        desk_free(after);
    }
    print_message("%d values folded; paths differ on %d desks, %d were not known\n", walk.folded,
                  differ, unknown);
    assert_true(walk.folded > DESKS && differ > DESKS / 10 && unknown > DESKS / 50);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_offset_is_always_recognised),
        cmocka_unit_test(one_send_is_never_hidden),
        cmocka_unit_test(what_is_folded_agrees),
    };

    return cmocka_run_group_tests_name("offset_property", tests, NULL, NULL);
}
