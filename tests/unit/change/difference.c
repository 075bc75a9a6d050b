/* SPDX-License-Identifier: MIT */
/* Two desks side by side: what counts as the same, what is not known, and how findings compare. */
#include "rig.h"
#include "unit.h"

#include <math.h>
#include <string.h>

#include "change/difference.h"
#include "engine/difference_findings.h"

/* The rig's desk, and a copy of it from before. */
static struct desk *
copy_of(struct rig *rig)
{
    struct desk *desk;

    rig_start(rig, 3, 2);
    desk = desk_copy(rig->desk);
    assert_non_null(desk);
    return desk;
}

static void
each_parameter_has_a_class_and_meters_are_none(void **state)
{
    static const struct {
        enum param_id id;
        enum difference_class kind;
    } rows[] = {{PARAM_MIX_LIMITER_ON, DIFFERENCE_PROTECTION},
                {PARAM_MIX_GRAPHIC_BAND_GAIN, DIFFERENCE_PROTECTION},
                {PARAM_INPUT_PHANTOM, DIFFERENCE_PROTECTION},
                {PARAM_INPUT_PREAMP_GAIN, DIFFERENCE_GAIN},
                {PARAM_INPUT_COMP_MAKEUP, DIFFERENCE_GAIN},
                {PARAM_SEND_TAP, DIFFERENCE_ROUTING},
                {PARAM_INPUT_EQ_BAND_GAIN, DIFFERENCE_FILTER},
                {PARAM_SEND_LEVEL, DIFFERENCE_LEVEL},
                {PARAM_MIX_FADER, DIFFERENCE_LEVEL},
                {PARAM_INPUT_MUTE, DIFFERENCE_LEVEL},
                {PARAM_MIX_NAME, DIFFERENCE_LABEL},
                {PARAM_INPUT_LEVEL, DIFFERENCE_METER}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_row(params[rows[i].id].name, params[rows[i].id].class, rows[i].kind);
    for (int kind = 0; kind < DIFFERENCE_CLASSES; kind++)
        assert_row(difference_class_name((enum difference_class)kind),
                   difference_is_drift((enum difference_class)kind), kind <= DIFFERENCE_ROUTING);
}

static void
less_than_a_step_is_the_same(void **state)
{
    static const struct {
        double step, was, is;
        enum same same;
    } rows[] = {{0, 30, 30.04, SAME},   {0, 30, 30.051, OTHER}, {1, 30, 30.9, SAME},
                {1, 30, 31, OTHER},     {1, 30, 29, OTHER},     {0.1, 0.2, 0.3, OTHER},
                {0.01, 30, 30.04, SAME}};
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct desk *before = copy_of(rig);

        desk_set_step(rig->desk, PARAM_INPUT_PREAMP_GAIN, rows[i].step);
        desk_set(before, PARAM_INPUT_PREAMP_GAIN, 1, 0, rows[i].was, 1);
        desk_set(rig->desk, PARAM_INPUT_PREAMP_GAIN, 1, 0, rows[i].is, 1);
        assert_row("preamp", difference_of(before, rig->desk, PARAM_INPUT_PREAMP_GAIN, 1, 0),
                   rows[i].same);
        desk_free(before);
    }
}

static void
off_differs_from_every_level(void **state)
{
    struct rig *rig = *state;
    struct desk *before = copy_of(rig);

    assert_int_equal(difference_of(before, rig->desk, PARAM_SEND_LEVEL, 0, 0), SAME); /* off, off */
    desk_set(rig->desk, PARAM_SEND_LEVEL, 0, 0, -200, 1);
    assert_int_equal(difference_of(before, rig->desk, PARAM_SEND_LEVEL, 0, 0), OTHER);
    desk_free(before);
}

static void
corners_and_ratios_by_half_a_per_cent(void **state)
{
    struct rig *rig = *state;
    struct desk *before = copy_of(rig);

    desk_set(rig->desk, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 100.4, 1);
    assert_int_equal(difference_of(before, rig->desk, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0), SAME);
    desk_set(rig->desk, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 101, 1);
    assert_int_equal(difference_of(before, rig->desk, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0), OTHER);
    desk_free(before);
}

struct list {
    int count;
    struct {
        enum difference_class kind;
        enum param_id id;
        int row, column;
    } rows[32];
};

static void
keep(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct list *list = context;

    assert_true(list->count < 32);
    list->rows[list->count].kind = kind;
    list->rows[list->count].id = id;
    list->rows[list->count].row = row;
    list->rows[list->count++].column = column;
}

static void
all_are_listed_protection_first(void **state)
{
    struct rig *rig = *state;
    struct desk *before = copy_of(rig);
    struct difference_counts counts;
    struct list list = {0}, unknown = {0};

    rig_set(rig, PARAM_SEND_LEVEL, 2, 1, -3);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 36);
    rig_set(rig, PARAM_INPUT_LEVEL, 0, 0, -3);
    rig_set(rig, PARAM_MIX_LIMITER_ON, 1, 0, 0);
    rig_set_text(rig, PARAM_INPUT_NAME, 2, "Ld Vox");
    counts = difference_all(before, rig->desk, keep, &list);
    assert_int_equal(counts.values, 4);
    assert_int_equal(counts.inputs, 2);
    assert_int_equal(counts.mixes, 1);
    /* the rig does not hear the centres of the graphic's bands */
    assert_int_equal(desk_supplied(rig->desk, PARAM_MIX_GRAPHIC_BAND_FREQ), SUPPLY_NONE);
    assert_int_equal(counts.not_known, 0); /* what neither publishes is not missing */
    assert_int_equal(list.count, 4);
    assert_int_equal(list.rows[0].id, PARAM_MIX_LIMITER_ON);
    assert_int_equal(list.rows[1].id, PARAM_INPUT_PREAMP_GAIN);
    assert_int_equal(list.rows[2].id, PARAM_SEND_LEVEL);
    assert_int_equal(list.rows[2].row, 2);
    assert_int_equal(list.rows[2].column, 1);
    assert_int_equal(list.rows[3].id, PARAM_INPUT_NAME);

    /* what is not known is listed as such, and never as moved, whatever number it had */
    rig_stale(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0);
    desk_supply(before, PARAM_MIX_LIMITER_ON, SUPPLY_HEARD);
    list.count = 0;
    counts = difference_all(before, rig->desk, keep, &list);
    difference_not_known(before, rig->desk, keep, &unknown);
    assert_int_equal(counts.not_known, 3);
    assert_int_equal(unknown.count, 3);
    assert_int_equal(unknown.rows[0].id, PARAM_MIX_LIMITER_ON);
    assert_int_equal(unknown.rows[2].id, PARAM_INPUT_PREAMP_GAIN);
    assert_int_equal(list.count, 2);
    assert_int_equal(list.rows[0].id, PARAM_SEND_LEVEL);
    desk_free(before);
}

/* A profile that names the pad only now: how it stood then nobody knows. */
static void
a_control_absent_on_one_side_is_not_known(void **state)
{
    struct rig *rig = *state;
    struct desk *before = copy_of(rig);

    desk_supply(before, PARAM_INPUT_PAD, SUPPLY_ABSENT);
    desk_set(rig->desk, PARAM_INPUT_PAD, 0, 0, 20, 1);
    assert_int_equal(difference_of(before, rig->desk, PARAM_INPUT_PAD, 0, 0), SAME_NOT_KNOWN);
    desk_supply(rig->desk, PARAM_INPUT_PAD, SUPPLY_ABSENT);
    assert_int_equal(difference_of(before, rig->desk, PARAM_INPUT_PAD, 0, 0), SAME);
    desk_free(before);
}

static void
differences_in_plain_words(void **state)
{
    static const struct {
        enum param_id id;
        int row, column;
        double was, is;
        const char *says;
    } rows[] = {
        {PARAM_INPUT_PREAMP_GAIN, 0, 0, 30, 36, "preamp 30 -> 36 dB"},
        {PARAM_INPUT_PREAMP_GAIN, 0, 0, 30.06, 30.12, "preamp moved a little, at 30.1 dB"},
        {PARAM_MIX_LIMITER_ON, 0, 0, 1, 0, "limiter was on, is off"},
        {PARAM_INPUT_PHANTOM, 0, 0, 0, 1, "48 V was off, is on"},
        {PARAM_SEND_TAP, 0, 1, TAP_PRE_FADER, TAP_POST_FADER,
         "tap into mix 2 Mix 2 was pre-fader, is post-fader"},
        {PARAM_SEND_LEVEL, 0, 1, 0, -HUGE_VAL, "send into mix 2 Mix 2 0 -> off"},
        {PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 13, -6, 0, "graphic 400 Hz -6 -> 0 dB"},
        {PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 2, -6, 0, "graphic 31.5 Hz -6 -> 0 dB"},
        {PARAM_MIX_EQ_BAND_Q, 0, 1, 0.7, 1.41, "eq band q 2 0.7 -> 1.41"},
        {PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 80, 120, "high-pass corner 80 -> 120 Hz"},
        {PARAM_INPUT_GROUP, 0, 1, 0, 1, "in the group 2 was off, is on"},
    };
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct desk *before = copy_of(rig);
        char buffer[200];
        struct text text;

        desk_set(before, rows[i].id, rows[i].row, rows[i].column, rows[i].was, 1);
        desk_set(rig->desk, rows[i].id, rows[i].row, rows[i].column, rows[i].is, 1);
        text_init(&text, buffer, sizeof buffer);
        difference_says(&text, before, rig->desk, rows[i].id, rows[i].row, rows[i].column);
        assert_string_equal(buffer, rows[i].says);
        desk_free(before);
    }
}

/* ---- findings ---- */

struct changes {
    int of[FINDING_CHANGES];
    int master; /* what became of master-off-unity on mix 1, or -1 */
};

static void
keep_change(void *context, enum finding_change change, const struct finding *then,
            const struct finding *now)
{
    struct changes *changes = context;

    assert_int_equal(then->slot, now->slot);
    changes->of[change]++;
    if (now->check->number == CHECK_MASTER_OFF_UNITY && now->object.mix == 0)
        changes->master = (int)change;
}

static void
drop(void *context, const struct event *event)
{
    (void)context;
    (void)event;
}

/* Both desks are judged by their own engine, with the master of mix 1 at these levels; -HUGE_VAL
 * stands for one that is stale. */
static struct changes
compare_masters(struct rig *rig, double then_db, double now_db)
{
    struct changes changes = {.master = -1};
    struct desk *before = copy_of(rig);
    struct engine *then = engine_new(before, check_set_show(check_set_all, 3, 2), check_set_all);

    assert_non_null(then);
    /* nothing is said of a master that nothing reaches */
    engine_hear(then, PARAM_SEND_LEVEL, 0, 0, 0, 1);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    engine_hear(then, PARAM_MIX_FADER, 0, 0, then_db, 1);
    engine_run(then, 1, drop, NULL);
    if (now_db == -HUGE_VAL)
        rig_stale(rig, PARAM_MIX_FADER, 0, 0);
    else
        rig_set(rig, PARAM_MIX_FADER, 0, 0, now_db);
    rig_run(rig);
    difference_findings(then, rig->engine, keep_change, &changes);
    engine_free(then);
    return changes;
}

static void
findings_are_new_worse_fixed_or_unchanged(void **state)
{
    static const struct {
        double then_db, now_db;
        int change;
    } rows[] = {{0, -8, FINDING_NEW},        {-2, -8, FINDING_WORSE},
                {-8, -8, FINDING_UNCHANGED}, {-8, -7, FINDING_UNCHANGED},
                {-8, 0, FINDING_FIXED},      {-8, -HUGE_VAL, FINDING_NOT_JUDGED},
                {0, -HUGE_VAL, -1},          {0, 0, -1}};
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_row("master", compare_masters(rig, rows[i].then_db, rows[i].now_db).master,
                   rows[i].change);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(each_parameter_has_a_class_and_meters_are_none),
        RIG_TEST(less_than_a_step_is_the_same),
        RIG_TEST(off_differs_from_every_level),
        RIG_TEST(corners_and_ratios_by_half_a_per_cent),
        RIG_TEST(all_are_listed_protection_first),
        RIG_TEST(a_control_absent_on_one_side_is_not_known),
        RIG_TEST(differences_in_plain_words),
        RIG_TEST(findings_are_new_worse_fixed_or_unchanged),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
