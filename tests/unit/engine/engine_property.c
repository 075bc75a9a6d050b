/* SPDX-License-Identifier: MIT */
/* The cost of a change is the checks that read it; the price of that saving would be a check left
 * out. A random walk over a small desk, in which values move, come again, and go stale: after each
 * few steps everything the engine holds must be what an engine finds that judges the same desk from
 * nothing.
 */
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "desk/source.h"
#include "rig.h"

enum { INPUTS = 8, MIXES = 4, STEPS = 20000, STEPS_A_RUN = 5, RUNS_A_SWEEP = 5 };
enum { LISTED = 2000 }; /* more than there are checks on objects of such a desk */

static const struct desk_counts counts = {.of = {[INDEX_INPUT] = INPUTS,
                                                 [INDEX_MIX] = MIXES,
                                                 [INDEX_GROUP] = 1,
                                                 [INDEX_INPUT_EQ_BAND] = 1,
                                                 [INDEX_MIX_GRAPHIC_BAND] = 10,
                                                 [INDEX_MIX_EQ_BAND] = 2}};

/* Few values each, on both sides of the limits, so that many come again and many decide. */
static const struct {
    enum param_id id;
    int count;
    double numbers[8];
} menu[] = {
    {PARAM_INPUT_PREAMP_GAIN, 4, {10, 30, 30, 42}},
    {PARAM_INPUT_PREAMP, 4, {0, 1, 2, 3}},
    {PARAM_INPUT_TRIM, 3, {0, 0, -6}},
    {PARAM_INPUT_MUTE, 4, {0, 0, 0, 1}},
    {PARAM_INPUT_FADER, 4, {0, 0, -10, -HUGE_VAL}},
    {PARAM_INPUT_HIGH_PASS_ON, 2, {0, 1}},
    {PARAM_INPUT_HIGH_PASS_FREQ, 5, {20, 80, 100, 180, 400}},
    {PARAM_INPUT_HIGH_PASS_SLOPE, 3, {12, 18, 24}},
    {PARAM_INPUT_LEVEL, 2, {-18, -3}},
    {PARAM_SEND_ON, 4, {0, 1, 1, 1}},
    {PARAM_SEND_LEVEL, 8, {-HUGE_VAL, -HUGE_VAL, 0, -6, -12, -20, -30, 6}},
    {PARAM_SEND_TAP, 4, {TAP_PRE_EQ, TAP_PRE_FADER, TAP_PRE_FADER, TAP_POST_FADER}},
    {PARAM_MIX_FADER, 5, {0, 0, -3, -8, -HUGE_VAL}},
    {PARAM_MIX_TRIM, 3, {0, 0, -6}},
    {PARAM_MIX_GRAPHIC_ON, 4, {0, 1, 1, 1}},
    {PARAM_MIX_GRAPHIC_BAND_GAIN, 5, {0, -3, -6, -12, -60}},
    {PARAM_MIX_EQ_ON, 3, {0, 1, 1}},
    {PARAM_MIX_EQ_BAND_ON, 2, {0, 1}},
    {PARAM_MIX_EQ_BAND_SHAPE, 3, {SHAPE_PEAK, SHAPE_LOW_SHELF, SHAPE_NOTCH}},
    {PARAM_MIX_EQ_BAND_FREQ, 3, {250, 777, 4000}},
    {PARAM_MIX_EQ_BAND_GAIN, 3, {0, -6, 4}},
    {PARAM_MIX_EQ_BAND_Q, 2, {0.7, 5}},
    {PARAM_MIX_LIMITER_ON, 2, {0, 1}},
};

static const char *const input_labels[] = {"Ld Vox", "Kick", "Sn Top", "Ch 17", "Alto Sax", ""};
static const char *const mix_labels[] = {"Wedge 1", "IEM 2", "Drum fill", "Aux 5", "", "Side fill"};

/* ---- a second engine from nothing ---- */

static struct desk *
copy_desk(const struct desk *from)
{
    struct desk *to = desk_new(&counts);

    for (int i = 0; i < PARAMS; i++) {
        enum param_id id = (enum param_id)i;

        desk_supply(to, id, desk_supplied(from, id));
        for (int row = 0; row < desk_rows(from, id); row++)
            for (int column = 0; column < desk_columns(from, id); column++) {
                const struct value *value = desk_value(from, id, row, column);
                int64_t heard_ms = value->state == VALUE_STALE ? 0 : 1;

                if (value->state == VALUE_UNKNOWN)
                    continue;
                if (params[id].unit == UNIT_TEXT)
                    desk_set_text(to, id, row, column, desk_text(from, id, row, column), heard_ms);
                else
                    desk_set(to, id, row, column, value_last_heard(value), heard_ms);
            }
    }
    return to;
}

static struct show *
copy_show(const struct show *from)
{
    struct show *to = check_set_show(check_set_all, INPUTS, MIXES);

    to->role = from->role;
    memcpy(to->inputs, from->inputs, INPUTS * sizeof *to->inputs);
    memcpy(to->mixes, from->mixes, MIXES * sizeof *to->mixes);
    memcpy(to->checks, from->checks, (size_t)CHECKS * sizeof *to->checks);
    return to;
}

static void
tell_nobody(void *context, const struct event *event)
{
    (void)context;
    (void)event;
}

static struct engine *
judge_from_nothing(const struct rig *rig)
{
    struct engine *engine = engine_new(copy_desk(rig->desk), copy_show(rig->show), check_set_all);

    engine_expire(engine, 1);
    engine_run(engine, rig->now_ms, tell_nobody, NULL);
    return engine;
}

/* ---- comparison ---- */

struct unknown {
    int check;
    struct object object;
    char why[200];
};

struct unknowns {
    size_t count;
    struct unknown list[LISTED];
};

static void
list_unknown(void *context, const struct check *check, struct object object, const char *why)
{
    struct unknowns *unknowns = context;
    struct unknown *next = &unknowns->list[unknowns->count++];

    assert_true(unknowns->count <= COUNT(unknowns->list));
    next->check = check->number;
    next->object = object;
    strcpy(next->why, why);
}

static void
same_unknowns(struct engine *one, struct engine *other)
{
    static struct unknowns a, b;

    a.count = b.count = 0;
    engine_unknown(one, list_unknown, &a);
    engine_unknown(other, list_unknown, &b);
    assert_int_equal(a.count, b.count);
    for (size_t i = 0; i < a.count; i++) {
        assert_int_equal(a.list[i].check, b.list[i].check);
        assert_int_equal(a.list[i].object.input, b.list[i].object.input);
        assert_int_equal(a.list[i].object.mix, b.list[i].object.mix);
        assert_string_equal(a.list[i].why, b.list[i].why);
    }
}

static void
same_verdict(const struct finding *one, const struct finding *other)
{
    const struct verdict *a = &one->verdict, *b = &other->verdict;

    assert_int_equal(one->check, other->check);
    assert_int_equal(one->object.input, other->object.input);
    assert_int_equal(one->object.mix, other->object.mix);
    assert_int_equal(a->weight, b->weight);
    assert_near(a->severity, b->severity, 0);
    assert_int_equal(a->inferred, b->inferred);
    assert_int_equal(a->mix, b->mix);
    assert_int_equal(a->figure_count, b->figure_count);
    for (int i = 0; i < a->figure_count; i++) {
        assert_string_equal(a->figures[i].name, b->figures[i].name);
        assert_near_in(a->figures[i].name, a->figures[i].number, b->figures[i].number, 0);
    }
}

static void
same_words(const struct engine *one, const struct finding *a, const struct engine *other,
           const struct finding *b)
{
    struct words mine, others;

    engine_words(one, a, &mine);
    engine_words(other, b, &others);
    assert_string_equal(mine.says, others.says);
    assert_string_equal(mine.cure, others.cure);
}

static int
by_identity(const void *one, const void *other)
{
    const struct finding *a = *(const struct finding *const *)one;
    const struct finding *b = *(const struct finding *const *)other;

    if (a->check != b->check)
        return a->check->number - b->check->number;
    if (a->object.input != b->object.input)
        return a->object.input - b->object.input;
    return a->object.mix - b->object.mix;
}

/* The findings that are judged now, in the order of their identities; frozen ones are what was. */
static size_t
judged_now(struct engine *engine, const struct finding *list[LISTED])
{
    const struct finding *const *findings;
    size_t count = engine_findings(engine, &findings), kept = 0;

    assert_true(count <= LISTED);
    for (size_t i = 0; i < count; i++)
        if (!findings[i]->life.frozen)
            list[kept++] = findings[i];
    qsort(list, kept, sizeof *list, by_identity);
    return kept;
}

static void
same_findings(struct engine *one, struct engine *other)
{
    static const struct finding *a[LISTED], *b[LISTED];
    size_t count = judged_now(one, a);

    assert_int_equal(count, judged_now(other, b));
    for (size_t i = 0; i < count; i++) {
        same_verdict(a[i], b[i]);
        same_words(one, a[i], other, b[i]);
    }
}

struct tally {
    size_t outcomes[OUTCOMES];
};

static void
compare(struct rig *rig, struct tally *tally)
{
    struct engine *fresh = judge_from_nothing(rig);

    same_unknowns(rig->engine, fresh);
    same_findings(rig->engine, fresh);
    for (int check = 0; check < CHECKS; check++)
        for (int outcome = 0; outcome < OUTCOMES; outcome++) {
            size_t count = engine_count(rig->engine, check, (enum outcome)outcome);

            assert_row(check_name(check), count, engine_count(fresh, check, (enum outcome)outcome));
            tally->outcomes[outcome] += count;
        }
    engine_free(fresh);
}

/* ---- the walk ---- */

/* A value for a parameter that the menu does not name: one that any check might mind. */
static double
any_number(enum param_id id, struct dice *dice)
{
    static const double levels[] = {-HUGE_VAL, -40, -12, -6, 0, 0, 3, 12};
    double least = params[id].least, most = params[id].most, number;

    switch (params[id].unit) {
    case UNIT_SWITCH:
    case UNIT_WORD:
        return dice_below(dice, (int)most + 1);
    case UNIT_DB:
        number = levels[dice_below(dice, (int)COUNT(levels))];
        return param_accepts(id, number) ? number : 0;
    default:
        return fmin(fmax(10 * dice_below(dice, 4), least), most);
    }
}

static void
move_label(struct rig *rig, struct dice *dice)
{
    if (dice_below(dice, 2) == 0)
        rig_set_text(rig, PARAM_INPUT_NAME, dice_below(dice, INPUTS),
                     input_labels[dice_below(dice, (int)COUNT(input_labels))]);
    else
        rig_set_text(rig, PARAM_MIX_NAME, dice_below(dice, MIXES),
                     mix_labels[dice_below(dice, (int)COUNT(mix_labels))]);
}

/* Mostly the menu, so that the walk stays where the limits are; now and then any parameter there
 * is. */
static void
move(struct rig *rig, struct dice *dice)
{
    size_t i = (size_t)dice_below(dice, (int)COUNT(menu));
    enum param_id id = menu[i].id;
    double number = menu[i].numbers[dice_below(dice, menu[i].count)];

    if (dice_below(dice, 8) == 0) {
        id = (enum param_id)dice_below(dice, PARAMS);
        number = any_number(id, dice);
    }
    if (params[id].unit == UNIT_TEXT)
        move_label(rig, dice);
    else if (desk_supplied(rig->desk, id) == SUPPLY_HEARD)
        rig_set(rig, id, dice_below(dice, desk_rows(rig->desk, id)),
                dice_below(dice, desk_columns(rig->desk, id)), number);
}

/* Everything is heard again but for a few values, which go stale; a longer silence takes more. */
static void
sweep(struct rig *rig, struct dice *dice)
{
    int lost_of_a_thousand = dice_below(dice, 4) == 0 ? 20 : 2;

    rig->now_ms += 1000;
    for (int i = 0; i < PARAMS; i++) {
        enum param_id id = (enum param_id)i;

        if (desk_supplied(rig->desk, id) != SUPPLY_HEARD)
            continue;
        for (int row = 0; row < desk_rows(rig->desk, id); row++)
            for (int column = 0; column < desk_columns(rig->desk, id); column++) {
                char text[DESK_TEXT_SIZE];

                if (desk_value(rig->desk, id, row, column)->state == VALUE_UNKNOWN ||
                    dice_below(dice, 1000) < lost_of_a_thousand)
                    continue;
                if (params[id].unit != UNIT_TEXT) {
                    rig_set(rig, id, row, column,
                            value_last_heard(desk_value(rig->desk, id, row, column)));
                    continue;
                }
                strcpy(text, desk_text(rig->desk, id, row, column));
                rig_set_text(rig, id, row, text);
            }
    }
    engine_expire(rig->engine, rig->now_ms);
}

static void
start(struct rig *rig)
{
    rig_start_counts(rig, &counts);
    rig_forget(rig, PARAM_INPUT_PREAMP, SUPPLY_HEARD);
    for (int input = 0; input < INPUTS; input++)
        rig_set(rig, PARAM_INPUT_PREAMP, input, 0, input);
    for (int mix = 0; mix < MIXES; mix++)
        rig_set_text(rig, PARAM_MIX_NAME, mix, mix_labels[mix]);
    /* heard for the first time only on the way */
    rig_forget(rig, PARAM_INPUT_HIGH_PASS_FREQ, SUPPLY_HEARD);
    rig_forget(rig, PARAM_MIX_EQ_BAND_Q, SUPPLY_HEARD);
}

static void
walk(struct rig *rig, struct dice *dice)
{
    struct tally tally = {{0}};

    for (int step = 0, runs = 0; step < STEPS; runs++) {
        int moves = 1 + dice_below(dice, 2 * STEPS_A_RUN - 1);

        for (int i = 0; i < moves; i++, step++)
            move(rig, dice);
        if (runs % RUNS_A_SWEEP == 0)
            sweep(rig, dice);
        rig_run(rig);
        compare(rig, &tally);
    }
    for (int outcome = 0; outcome < OUTCOMES; outcome++)
        assert_true(tally.outcomes[outcome] > 1000); /* the walk came everywhere */
}

static void
without_a_show_file(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();

    start(rig);
    walk(rig, &dice);
}

static void
with_a_show_file(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();

    start(rig);
    rig->show->role = ROLE_MONITOR;
    for (int input = 0; input < INPUTS; input++)
        strcpy(rig->show->inputs[input].player, input % 2 == 0 ? "singer" : "drums");
    rig->show->inputs[2].source = rig_source("lead-vocal");
    rig->show->inputs[3].source = SOURCE_UNUSED;
    rig->show->inputs[4].house_preamp = true;
    strcpy(rig->show->mixes[0].player, "singer");
    strcpy(rig->show->mixes[2].player, "drums");
    rig->show->mixes[0].feeds = FEEDS_WEDGE;
    rig->show->mixes[3].feeds = FEEDS_UNUSED;
    walk(rig, &dice);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(without_a_show_file),
        RIG_TEST(with_a_show_file),
    };

    return cmocka_run_group_tests_name("engine_property", tests, NULL, NULL);
}
