/* SPDX-License-Identifier: MIT */
/* Another preamp offset: told apart from a difference, by hand-made desks. The property test walks
 * random ones.
 */
#include "rig.h"
#include "unit.h"

#include <math.h>
#include <string.h>

#include "change/difference.h"
#include "change/offset.h"

enum { KICK, SNARE, VOX, KEYS };

/* Four inputs into three mixes. Kick, snare and keys have two open paths each; the voice has three
 * of 0 dB. */
static struct desk *
start(struct rig *rig)
{
    static const double sends_db[4][3] = {
        {-6, -12, -HUGE_VAL}, {-HUGE_VAL, -3, 0}, {0, 0, 0}, {-9, -HUGE_VAL, -4}};
    struct desk *before;

    rig_start(rig, 4, 3);
    desk_supply(rig->desk, PARAM_INPUT_PREAMP, SUPPLY_HEARD);
    for (int input = 0; input < 4; input++) {
        rig_set(rig, PARAM_INPUT_PREAMP, input, 0, input + 1);
        for (int mix = 0; mix < 3; mix++)
            rig_set(rig, PARAM_SEND_LEVEL, input, mix, sends_db[input][mix]);
    }
    before = desk_copy(rig->desk);
    assert_non_null(before);
    return before;
}

static void
move(struct rig *rig, enum param_id id, int row, int column, double by)
{
    rig_set(rig, id, row, column, value_last_heard(desk_value(rig->desk, id, row, column)) + by);
}

/* Every open send of the input. */
static void
move_sends(struct rig *rig, int input, double by_db)
{
    for (int mix = 0; mix < 3; mix++)
        if (value_last_heard(desk_value(rig->desk, PARAM_SEND_LEVEL, input, mix)) > -HUGE_VAL)
            move(rig, PARAM_SEND_LEVEL, input, mix, by_db);
}

struct left {
    const struct offsets *offsets;
    int folded, left;
};

static void
count_left(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct left *left = context;

    (void)kind;
    if (offsets_fold(left->offsets, id, row, column))
        left->folded++;
    else
        left->left++;
}

/* Judges the two desks: what is said of the first offset goes to `says`, "" for none. */
static struct left
judge(struct rig *rig, const struct desk *before, char says[500])
{
    struct offsets *offsets = offsets_new(before, rig->desk);
    struct left left = {.offsets = offsets};
    struct text text;

    assert_non_null(offsets);
    difference_all(before, rig->desk, count_left, &left);
    text_init(&text, says, 500);
    if (offsets->count > 0)
        offset_says(&text, offsets, &offsets->list[0]);
    offsets_free(offsets);
    left.offsets = NULL;
    return left;
}

/* The same, with all of it asserted. */
static void
expect(struct rig *rig, const struct desk *before, int folded, int left, const char *says)
{
    char said[500];
    struct left found = judge(rig, before, said);

    assert_string_equal(said, says);
    assert_int_equal(found.folded, folded);
    assert_int_equal(found.left, left);
}

static void
sends_make_up_for_the_preamp(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    expect(rig, before, 0, 0, "");
    move(rig, PARAM_INPUT_PREAMP_GAIN, KICK, 0, 6);
    move_sends(rig, KICK, -6);
    expect(rig, before, 3, 0,
           "another offset: preamp 30 -> 36 dB, its sends 6 dB lower; all 2 path gains agree");
    desk_free(before);
}

static void
trim_makes_up_for_it_and_a_pad_for_a_preamp(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    move(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 6);
    move(rig, PARAM_INPUT_TRIM, VOX, 0, -6);
    expect(rig, before, 2, 0,
           "another offset: preamp 30 -> 36 dB, trim 0 -> -6 dB; all 3 path gains agree");
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 44);
    rig_set(rig, PARAM_INPUT_PAD, VOX, 0, 20);
    move_sends(rig, VOX, 12); /* 44 - 20 - 6 + 12 is 30 */
    expect(rig, before, 6, 0,
           "another offset: preamp 30 -> 44 dB, pad 0 -> 20 dB, trim 0 -> -6 dB, its sends 12 dB "
           "higher; all 3 path gains agree");
    desk_free(before);
}

/* One path that does not agree, and the whole preamp is a difference. */
static void
one_path_of_another_gain_hides_nothing(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);
    struct offsets *offsets;
    char said[100];
    struct text text;

    move(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 6);
    move_sends(rig, VOX, -6);
    move(rig, PARAM_SEND_LEVEL, VOX, 1, 3);
    expect(rig, before, 0, 4, "");
    offsets = offsets_new(before, rig->desk);
    assert_int_equal(offsets->of[PATH_DIFFERS], 1);
    text_init(&text, said, sizeof said);
    offset_path_says(&text, offsets_path(offsets, VOX, 1));
    assert_string_equal(said, "path gain 30 -> 33 dB");
    offsets_free(offsets);
    desk_free(before);
}

/* Less than a tenth of a dB, or than a step of the sends. */
static void
tolerance_is_a_tenth_or_the_sends_step(void **state)
{
    static const struct {
        double step, rest_db;
        int folded;
    } rows[] = {{0, 0.09, 4},  {0, 0.101, 0}, {0, -0.09, 4}, {0, -0.101, 0}, {0.5, 0.4, 4},
                {0.5, 0.5, 0}, {3, 2.9, 4},   {3, 3, 0},     {0.01, 0.09, 4}};
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct desk *before = start(rig);
        char said[500];

        desk_set_step(rig->desk, PARAM_SEND_LEVEL, rows[i].step);
        move(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 12);
        move_sends(rig, VOX, -12);
        move(rig, PARAM_SEND_LEVEL, VOX, 2, rows[i].rest_db);
        assert_row("folded", judge(rig, before, said).folded, rows[i].folded);
        desk_free(before);
    }
}

static void
inputs_of_one_preamp_are_one(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    for (int input = KICK; input <= SNARE; input++) {
        desk_set(before, PARAM_INPUT_PREAMP, input, 0, 7, 1);
        rig_set(rig, PARAM_INPUT_PREAMP, input, 0, 7);
        move(rig, PARAM_INPUT_PREAMP_GAIN, input, 0, 4);
    }
    move_sends(rig, KICK, -4);
    move(rig, PARAM_INPUT_TRIM, SNARE, 0, -4);
    expect(rig, before, 5, 0,
           "another offset: preamp 30 -> 34 dB, input 2 trim 0 -> -4 dB, its sends 0 to 4 dB "
           "lower; all 4 path gains agree");
    /* the snare alone is louder: then so is the preamp, and nothing is hidden of the kick either */
    rig_set(rig, PARAM_INPUT_TRIM, SNARE, 0, 0);
    expect(rig, before, 0, 4, "");
    desk_free(before);
}

static void
another_patch_is_no_offset(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    rig_set(rig, PARAM_INPUT_PREAMP, KICK, 0, 9);
    move(rig, PARAM_INPUT_PREAMP_GAIN, KICK, 0, 6);
    move_sends(rig, KICK, -6);
    expect(rig, before, 0, 4, "");
    /* nor where another input joined the preamp */
    rig_set(rig, PARAM_INPUT_PREAMP, KICK, 0, 1);
    expect(rig, before, 3, 0,
           "another offset: preamp 30 -> 36 dB, its sends 6 dB lower; all 2 path gains agree");
    rig_set(rig, PARAM_INPUT_PREAMP, KEYS, 0, 1);
    expect(rig, before, 0, 4, "");
    desk_free(before);
}

static void
a_master_and_all_its_sends(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    rig_set(rig, PARAM_MIX_FADER, 2, 0, -8);
    for (int input = SNARE; input <= KEYS; input++)
        move(rig, PARAM_SEND_LEVEL, input, 2, 8);
    expect(rig, before, 4, 0,
           "another offset: master 0 -> -8 dB, its sends 8 dB higher; all 3 path gains agree");
    move(rig, PARAM_SEND_LEVEL, KEYS, 2, -1);
    expect(rig, before, 0, 4, "");
    desk_free(before);
}

/* What is open on one side alone, what no path hears, and what the fader balances. */
static void
what_is_no_offset(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    move(rig, PARAM_INPUT_PREAMP_GAIN, KICK, 0, 6);
    move_sends(rig, KICK, -6);
    rig_set(rig, PARAM_SEND_ON, KICK, 1, 0);
    expect(rig, before, 0, 4, "");
    desk_free(before);

    before = start(rig);
    for (int mix = 0; mix < 3; mix++) {
        rig_set(rig, PARAM_SEND_ON, VOX, mix, 0);
        desk_set(before, PARAM_SEND_ON, VOX, mix, 0, 1);
    }
    move(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 6);
    move_sends(rig, VOX, -6);
    expect(rig, before, 0, 4, "");
    desk_free(before);

    before = start(rig);
    for (int mix = 0; mix < 3; mix++) {
        rig_set(rig, PARAM_SEND_TAP, VOX, mix, TAP_POST_FADER);
        desk_set(before, PARAM_SEND_TAP, VOX, mix, TAP_POST_FADER, 1);
    }
    move(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 6);
    rig_set(rig, PARAM_INPUT_FADER, VOX, 0, -6);
    expect(rig, before, 0, 2, "");
    desk_free(before);
}

/* A send of a path that is closed on both sides has nothing to balance. */
static void
a_closed_send_stays_listed(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    rig_set(rig, PARAM_SEND_ON, VOX, 2, 0);
    desk_set(before, PARAM_SEND_ON, VOX, 2, 0, 1);
    move(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 6);
    move_sends(rig, VOX, -6);
    expect(rig, before, 3, 1,
           "another offset: preamp 30 -> 36 dB, its sends 6 dB lower; all 2 path gains agree");
    desk_free(before);
}

static void
thresholds_go_along_or_meet_another_level(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    desk_set(before, PARAM_INPUT_COMP_ON, VOX, 0, 1, 1);
    rig_set(rig, PARAM_INPUT_COMP_ON, VOX, 0, 1);
    move(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 6);
    move_sends(rig, VOX, -6);
    expect(rig, before, 4, 0,
           "another offset: preamp 30 -> 36 dB, its sends 6 dB lower; all 3 path gains agree; its "
           "compressor meets a level 6 dB higher");
    rig_set(rig, PARAM_INPUT_COMP_THRESHOLD, VOX, 0, 6);
    expect(
        rig, before, 5, 0,
        "another offset: preamp 30 -> 36 dB, its sends 6 dB lower, compressor threshold 0 -> 6 dB; "
        "all 3 path gains agree");
    rig_set(rig, PARAM_INPUT_COMP_THRESHOLD, VOX, 0, 9);
    expect(rig, before, 4, 1,
           "another offset: preamp 30 -> 36 dB, its sends 6 dB lower; all 3 path gains agree; its "
           "compressor meets a level 3 dB lower");
    desk_free(before);
}

static const struct offset *
only(const struct offsets *offsets)
{
    assert_int_equal(offsets->count, 1);
    assert_int_equal(offsets->recognised, 0);
    return &offsets->list[0];
}

static void
what_is_not_known_is_not_recognised(void **state)
{
    static const struct {
        enum param_id id;
        int row, column;
        const char *why;
    } rows[] = {{PARAM_SEND_LEVEL, VOX, 1, "send.level of input 3, mix 2 is stale"},
                {PARAM_SEND_TAP, VOX, 0, "send.tap of input 3, mix 1 is stale"},
                {PARAM_MIX_FADER, 2, 0, "mix.fader of mix 3 is stale"},
                {PARAM_INPUT_PREAMP, KEYS, 0, "input.preamp of input 4 is stale"}};
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (int before_too = 0; before_too < 2; before_too++) {
            struct desk *before = start(rig);
            struct offsets *offsets;
            char said[500];

            move(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 6);
            move_sends(rig, VOX, -6);
            if (before_too)
                desk_set_stale(before, rows[i].id, rows[i].row, rows[i].column);
            else
                desk_set_stale(rig->desk, rows[i].id, rows[i].row, rows[i].column);
            offsets = offsets_new(before, rig->desk);
            assert_string_equal(only(offsets)->miss.why, rows[i].why);
            assert_int_equal(only(offsets)->miss.before, before_too);
            offsets_free(offsets);
            assert_row("folded", judge(rig, before, said).folded, 0);
            assert_string_equal(said, "preamp 30 -> 36 dB; whether it is another offset alone is "
                                      "not known");
            desk_free(before);
        }
}

/* The pad that only one side's profile names: nobody knows how it stood. */
static void
a_control_absent_on_one_side_is_not_known(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);
    struct offsets *offsets;

    desk_supply(before, PARAM_INPUT_PAD, SUPPLY_ABSENT);
    move(rig, PARAM_INPUT_PREAMP_GAIN, KICK, 0, 6);
    move_sends(rig, KICK, -6);
    offsets = offsets_new(before, rig->desk);
    assert_string_equal(only(offsets)->miss.why, "input.pad of input 1 was never heard");
    assert_true(only(offsets)->miss.before);
    assert_int_equal(offsets->of[PATH_AGREES], 0);
    offsets_free(offsets);
    /* the copy that forgot it is the offsets' own */
    assert_int_equal(desk_value(before, PARAM_INPUT_PAD, 0, 0)->state, VALUE_KNOWN);

    desk_supply(rig->desk, PARAM_INPUT_PAD, SUPPLY_ABSENT);
    offsets = offsets_new(before, rig->desk);
    assert_int_equal(offsets->recognised, 1);
    offsets_free(offsets);

    desk_supply(rig->desk, PARAM_INPUT_PREAMP, SUPPLY_NONE);
    offsets = offsets_new(before, rig->desk);
    assert_string_equal(only(offsets)->miss.why, "input.preamp is not told");
    assert_false(only(offsets)->miss.before);
    offsets_free(offsets);
    desk_free(before);
}

/* A path that is known to differ makes a difference of it, whatever else is not known. */
static void
a_difference_is_one_whatever_is_not_known(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    move(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 6);
    desk_set_stale(before, PARAM_SEND_LEVEL, VOX, 1);
    expect(rig, before, 0, 1, "");
    desk_free(before);
}

static void
paths_are_counted_and_said(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);
    struct offsets *offsets;
    char said[100];
    struct text text;

    rig_set(rig, PARAM_SEND_LEVEL, KICK, 0, -HUGE_VAL);
    rig_set(rig, PARAM_SEND_LEVEL, KICK, 2, -2.25);
    desk_set_stale(before, PARAM_SEND_LEVEL, VOX, 0);
    offsets = offsets_new(before, rig->desk);
    assert_int_equal(offsets->of[PATH_DIFFERS], 2);
    assert_int_equal(offsets->of[PATH_NOT_KNOWN], 1);
    assert_int_equal(offsets->miss_input, VOX);
    assert_int_equal(offsets->miss_mix, 0);
    assert_string_equal(offsets->miss.why, "send.level of input 3, mix 1 is stale");
    assert_int_equal(offsets->of[PATH_CLOSED], 2);
    assert_int_equal(offsets->of[PATH_AGREES], 7);
    text_init(&text, said, sizeof said);
    offset_path_says(&text, offsets_path(offsets, KICK, 0));
    text_add(&text, ", ");
    offset_path_says(&text, offsets_path(offsets, KICK, 2));
    assert_string_equal(said, "path gain 24 -> off, path gain off -> 27.75 dB");
    offsets_free(offsets);
    desk_free(before);
}

static void
each_setting_is_of_one_kind(void **state)
{
    static const struct {
        enum param_id id;
        enum difference_kind kind;
    } rows[] = {{PARAM_INPUT_PREAMP_GAIN, DIFFERENCE_OF_STRUCTURE},
                {PARAM_SEND_LEVEL, DIFFERENCE_OF_STRUCTURE},
                {PARAM_INPUT_COMP_MAKEUP, DIFFERENCE_OF_STRUCTURE},
                {PARAM_MIX_GRAPHIC_BAND_GAIN, DIFFERENCE_OF_FILTERS},
                {PARAM_INPUT_HIGH_PASS_ON, DIFFERENCE_OF_FILTERS},
                {PARAM_INPUT_COMP_ON, DIFFERENCE_OF_FILTERS},
                {PARAM_MIX_LIMITER_ON, DIFFERENCE_OF_PROTECTION},
                {PARAM_INPUT_PHANTOM, DIFFERENCE_OF_PROTECTION},
                {PARAM_SEND_TAP, DIFFERENCE_OF_ROUTING},
                {PARAM_INPUT_MUTE, DIFFERENCE_OF_ROUTING},
                {PARAM_MIX_NAME, DIFFERENCE_OF_LABELS}};

    (void)state;
    for (int id = 0; id < PARAMS; id++) {
        enum difference_kind kind = params[id].kind;

        assert_row(params[id].name, kind != DIFFERENCE_OF_NOTHING,
                   difference_is_setting((enum param_id)id));
        assert_row(params[id].name, kind < DIFFERENCE_KINDS, 1);
        assert_row(params[id].name, params[id].unit == UNIT_TEXT, kind == DIFFERENCE_OF_LABELS);
    }
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_row(params[rows[i].id].name, params[rows[i].id].kind, rows[i].kind);
    for (int kind = DIFFERENCE_OF_PROTECTION; kind < DIFFERENCE_KINDS; kind++)
        assert_true(*difference_kind_name((enum difference_kind)kind));
}

/* Every gain that a path is made of is structure: what changes a path's level in dB. */
static void
every_gain_of_a_path_is_structure(void **state)
{
    static const enum param_id reads[] = {PATH_LEVEL_READS};

    (void)state;
    for (size_t i = 0; i < sizeof reads / sizeof *reads; i++)
        if (params[reads[i]].unit == UNIT_DB)
            assert_row(params[reads[i]].name, params[reads[i]].kind, DIFFERENCE_OF_STRUCTURE);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(sends_make_up_for_the_preamp),
        RIG_TEST(trim_makes_up_for_it_and_a_pad_for_a_preamp),
        RIG_TEST(one_path_of_another_gain_hides_nothing),
        RIG_TEST(tolerance_is_a_tenth_or_the_sends_step),
        RIG_TEST(inputs_of_one_preamp_are_one),
        RIG_TEST(another_patch_is_no_offset),
        RIG_TEST(a_master_and_all_its_sends),
        RIG_TEST(what_is_no_offset),
        RIG_TEST(a_closed_send_stays_listed),
        RIG_TEST(thresholds_go_along_or_meet_another_level),
        RIG_TEST(what_is_not_known_is_not_recognised),
        RIG_TEST(a_control_absent_on_one_side_is_not_known),
        RIG_TEST(a_difference_is_one_whatever_is_not_known),
        RIG_TEST(paths_are_counted_and_said),
        RIG_TEST(each_setting_is_of_one_kind),
        RIG_TEST(every_gain_of_a_path_is_structure),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
