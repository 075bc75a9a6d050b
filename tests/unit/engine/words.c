/* SPDX-License-Identifier: MIT */
/* Words are made when somebody asks, which may be long after the judging: they must be those of the
 * desk that was judged, also while the finding is frozen or eases, and when values have moved that
 * nobody judged yet. And judging holds none: sizes say so.
 */
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "engine/parts.h"
#include "rig.h"

enum { INPUTS = 6, MIXES = 3 };

/* The words the engine has of the finding; valid until the next call. */
static const struct words *
words_of(struct rig *rig, int check, struct object object)
{
    static struct words words;
    size_t slot = engine_find(rig->engine, check, object);

    engine_words(rig->engine, engine_slot(rig->engine, slot), &words);
    return &words;
}

static const struct finding *
finding_of(struct rig *rig, int check, struct object object)
{
    return engine_slot(rig->engine, engine_find(rig->engine, check, object));
}

/* A vocal 14 dB of whose preamp every send takes away again, into a wedge. */
static void
start(struct rig *rig)
{
    rig_start(rig, INPUTS, MIXES);
    engine_hold(rig->engine, true);
    desk_set_travel(rig->desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){0, 60});
    desk_set_travel(rig->desk, PARAM_SEND_LEVEL, (struct travel){-90, 10});
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Vox wedge");
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -14);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -20);
    rig_run(rig);
    rig->now_ms += 60000;
    rig_run(rig);
    assert_int_equal(finding_of(rig, CHECK_UNUSED_PREAMP_GAIN, (struct object){0, -1})->life.state,
                     LIFE_RAISED);
}

static void
assert_first_words(struct rig *rig)
{
    const struct words *words = words_of(rig, CHECK_UNUSED_PREAMP_GAIN, (struct object){0, -1});

    assert_contains(words->says, "preamp at 42 dB, but its loudest send turns it down again to "
                                 "-14 dB (send -14 dB): 14 dB of preamp gain is not used");
    assert_contains(words->cure, "`gainwarden retrim` lists the moves");
}

/* ---- cases ---- */

static void
what_moved_and_is_not_judged_yet_is_not_said(void **state)
{
    struct rig *rig = *state;

    start(rig);
    assert_first_words(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -10);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -9);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -HUGE_VAL);
    assert_first_words(rig);
    assert_near(value_last_heard(desk_value(rig->desk, PARAM_SEND_LEVEL, 0, 0)), -9,
                0); /* it was a look */
    assert_true(value_last_heard(desk_value(rig->desk, PARAM_SEND_LEVEL, 0, 1)) == -HUGE_VAL);
    rig_run(rig);
    assert_contains(words_of(rig, CHECK_UNUSED_PREAMP_GAIN, (struct object){0, -1})->says,
                    "(send -9 dB): 9 dB of preamp gain is not used");
}

static void
a_muted_input_keeps_its_words(void **state)
{
    struct rig *rig = *state;
    const struct finding *finding;

    start(rig);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    rig_run(rig);
    finding = finding_of(rig, CHECK_UNUSED_PREAMP_GAIN, (struct object){0, -1});
    assert_true(finding->life.frozen);
    assert_first_words(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 20);
    rig_run(rig);
    assert_true(finding->life.frozen);
    assert_first_words(rig);
}

static void
muted_and_moved_in_one_wake_up_it_keeps_them_too(void **state)
{
    struct rig *rig = *state;

    start(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, 3);
    rig_run(rig);
    assert_true(finding_of(rig, CHECK_UNUSED_PREAMP_GAIN, (struct object){0, -1})->life.frozen);
    assert_first_words(rig);
}

static void
one_that_eases_keeps_its_words_until_it_ends(void **state)
{
    struct rig *rig = *state;

    start(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_run(rig);
    assert_int_equal(finding_of(rig, CHECK_UNUSED_PREAMP_GAIN, (struct object){0, -1})->life.state,
                     LIFE_EASING);
    assert_first_words(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -1);
    rig_run(rig);
    assert_first_words(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -13);
    rig_run(rig); /* it came back, another one */
    assert_contains(words_of(rig, CHECK_UNUSED_PREAMP_GAIN, (struct object){0, -1})->says,
                    "(send -13 dB): 13 dB of preamp gain is not used");
}

/* More moves before anybody looks than the engine notes, and only then the finding's own. */
static void
what_moves_behind_many_others_changes_no_words(void **state)
{
    struct rig *rig = *state;
    size_t moves = 0;

    start(rig);
    for (int round = 1; moves <= JOURNAL_MOST; round++)
        for (int input = 1; input < INPUTS; input++)
            for (int mix = 0; mix < MIXES; mix++, moves++)
                rig_set(rig, PARAM_SEND_LEVEL, input, mix, -20 - round % 30);
    assert_first_words(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -3);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -5);
    assert_first_words(rig);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    rig_run(rig);
    assert_first_words(rig);
}

/* Also once another desk is approved, or taken for set up. */
static void
a_listing_is_of_what_was_judged(void **state)
{
    struct rig *rig = *state;
    const struct object input = {1, -1}, mix = {-1, 2};

    start(rig);
    engine_set_approved(rig->engine, desk_copy(rig->desk));
    engine_anchor(rig->engine);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 39);
    rig_set(rig, PARAM_MIX_HIGH_PASS_ON, 2, 0, 1);
    engine_anchor(rig->engine);
    rig_set(rig, PARAM_MIX_HIGH_PASS_ON, 2, 0, 0);
    rig_run(rig);
    rig->now_ms += 60000;
    rig_run(rig);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 30);
    rig_set(rig, PARAM_MIX_HIGH_PASS_ON, 2, 0, 1);
    rig_run(rig);
    for (int i = 0; i < 2; i++) {
        assert_int_equal(finding_of(rig, CHECK_MOVED_FROM_APPROVED, input)->life.state,
                         LIFE_EASING);
        assert_string_equal(words_of(rig, CHECK_MOVED_FROM_APPROVED, input)->says,
                            "moved since it was approved: preamp 30 -> 39 dB");
        assert_string_equal(words_of(rig, CHECK_PROTECTION_LOST, mix)->says,
                            "the high-pass of the mix was switched off");
        engine_set_approved(rig->engine, desk_copy(rig->desk));
        engine_anchor(rig->engine);
    }
}

/* What is approved while a finding stands ends it, and it ends as what it was. */
static void
what_is_approved_meanwhile_changes_no_words(void **state)
{
    const struct object object = {1, -1};
    struct rig *rig = *state;

    start(rig);
    engine_set_approved(rig->engine, desk_copy(rig->desk));
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 39);
    rig_run(rig);
    rig->now_ms += 60000;
    rig_run(rig);
    engine_set_approved(rig->engine, desk_copy(rig->desk));
    for (int i = 0; i < 2; i++) {
        assert_int_equal(finding_of(rig, CHECK_MOVED_FROM_APPROVED, object)->life.state,
                         i == 0 ? LIFE_RAISED : LIFE_EASING);
        assert_string_equal(words_of(rig, CHECK_MOVED_FROM_APPROVED, object)->says,
                            "moved since it was approved: preamp 30 -> 39 dB");
        rig_run(rig);
    }
}

/* One that stands is judged with easier thresholds, and so it is said. */
static void
words_have_the_dead_band_of_the_judging(void **state)
{
    const struct object object = {1, -1};
    struct rig *rig = *state;

    start(rig);
    engine_set_approved(rig->engine, desk_copy(rig->desk));
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 31);
    rig_run(rig);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 30.8); /* a note from 1 dB on, eased by 0.25 */
    rig_run(rig);
    assert_string_equal(words_of(rig, CHECK_MOVED_FROM_APPROVED, object)->says,
                        "moved since it was approved: preamp 30 -> 30.8 dB");
}

struct heard {
    struct engine *engine;
    int cleared;
    struct words words;
};

static void
on_event(void *context, const struct event *event)
{
    struct heard *heard = context;

    if (event->finding->check->number != CHECK_VALUE_JUMPED || event->kind != EVENT_CLEARED)
        return;
    heard->cleared++;
    engine_words(heard->engine, event->finding, &heard->words);
}

/* After two minutes the jump is forgotten, and the finding ends with the words it had. */
static void
a_jump_that_is_forgotten_is_told_as_it_was(void **state)
{
    struct rig *rig = *state;
    struct heard heard = {.cleared = 0};

    start(rig);
    engine_remember(rig->engine);
    rig->now_ms += 1000;
    rig_set(rig, PARAM_SEND_LEVEL, 2, 1, -20);
    rig_run(rig);
    rig->now_ms += 1000;
    rig_set(rig, PARAM_SEND_LEVEL, 2, 1, 5);
    rig_run(rig);
    rig->now_ms += 1000;
    rig_run(rig);
    assert_string_equal(words_of(rig, CHECK_VALUE_JUMPED, (struct object){2, -1})->says,
                        "the send into mix 2 Mix 2 jumped from -20 to 5 dB while open");
    heard.engine = rig->engine;
    for (int i = 0; i < 130; i++)
        engine_run(rig->engine, rig->now_ms += 1000, on_event, &heard);
    assert_int_equal(heard.cleared, 1);
    assert_string_equal(heard.words.says,
                        "the send into mix 2 Mix 2 jumped from -20 to 5 dB while open");
    assert_contains(heard.words.cure, "take it back to -20 dB");
}

/* With other files in force nothing is judged yet, and what stands is still what it was. */
static void
words_are_carried_along(void **state)
{
    struct rig *rig = *state;
    struct words words = {"", ""};
    struct engine *next;

    start(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -3);
    next = engine_new(desk_copy(rig->desk), check_set_show(check_set_all, INPUTS, MIXES),
                      check_set_all);
    engine_carry(next, rig->engine);
    engine_words(
        next,
        engine_slot(next, engine_find(next, CHECK_UNUSED_PREAMP_GAIN, (struct object){0, -1})),
        &words);
    assert_contains(words.says, "(send -14 dB): 14 dB of preamp gain is not used");
    engine_free(next);
}

/* ---- any desk ---- */

enum { ROUNDS = 1500, MOVES_A_ROUND = 12 };

/* What was said of each finding right behind its judging. */
struct said {
    size_t slots, asked, frozen, easing;
    struct words *list;
};

static double
some_number(struct dice *dice, enum param_id id)
{
    static const double levels[] = {-HUGE_VAL, -30, -14, -6, 0, 0, 6, 12};
    double number;

    switch (params[id].unit) {
    case UNIT_SWITCH:
    case UNIT_WORD:
        return dice_below(dice, (int)params[id].most + 1);
    case UNIT_DB:
        number = levels[dice_below(dice, 8)];
        return param_accepts(id, number) ? number : 0;
    default:
        return fmin(fmax(40 * dice_below(dice, 6), params[id].least), params[id].most);
    }
}

static void
move(struct rig *rig, struct dice *dice)
{
    enum param_id id = (enum param_id)dice_below(dice, PARAMS);
    int row, column;

    if (params[id].unit == UNIT_TEXT || desk_supplied(rig->desk, id) != SUPPLY_HEARD)
        return;
    row = dice_below(dice, desk_rows(rig->desk, id));
    column = dice_below(dice, desk_columns(rig->desk, id));
    rig_set(rig, id, row, column, some_number(dice, id));
    if (dice_below(dice, 60) == 0)
        rig_stale(rig, id, row, column);
}

static void
compare(struct rig *rig, struct said *said)
{
    for (size_t slot = 0; slot < said->slots; slot++) {
        const struct finding *finding = engine_slot(rig->engine, slot);
        struct words words;

        if (!life_is_open(&finding->life))
            continue;
        engine_words(rig->engine, finding, &words);
        assert_string_equal(words.says, said->list[slot].says);
        assert_string_equal(words.cure, said->list[slot].cure);
        said->asked++;
        said->frozen += finding->life.frozen;
        said->easing += finding->life.state == LIFE_EASING;
    }
}

/* Only what is judged bad now is said anew. */
static void
note(struct rig *rig, struct said *said)
{
    for (size_t slot = 0; slot < said->slots; slot++)
        if (engine_outcome(rig->engine, slot) == OUTCOME_FINDING)
            engine_words(rig->engine, engine_slot(rig->engine, slot), &said->list[slot]);
}

static void
words_stay_those_of_the_judging(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();
    struct said said = {.slots = 0};

    start(rig);
    for (int input = 0; input < INPUTS; input++)
        rig_set_text(rig, PARAM_INPUT_NAME, input, input % 2 ? "Ld Vox" : "Sn Top");
    engine_remember(rig->engine);
    engine_anchor(rig->engine);
    engine_set_approved(rig->engine, desk_copy(rig->desk));
    said.slots = engine_slots(rig->engine);
    said.list = calloc(said.slots, sizeof *said.list);
    note(rig, &said);
    for (int round = 0; round < ROUNDS; round++) {
        for (int i = dice_below(&dice, MOVES_A_ROUND); i > 0; i--)
            move(rig, &dice);
        compare(rig, &said);
        rig->now_ms += dice_below(&dice, 4000);
        rig_run(rig);
        note(rig, &said);
        compare(rig, &said);
    }
    free(said.list);
    assert_true(said.asked > 10000);
    assert_true(said.frozen > 1000);
    assert_true(said.easing > 1000);
}

/* ---- sizes ---- */

/* A verdict is copied at each judging, and each check has a slot for each of its objects: what
 * grows here grows by a thousand for a desk, and by 32 in a big house. */
static void
nothing_that_is_judged_holds_prose(void **state)
{
    (void)state;
    assert_true(sizeof(struct verdict) <= 256);
    assert_true(sizeof(struct slot) <= 480);
    assert_true(sizeof(struct look) <= 256);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(what_moved_and_is_not_judged_yet_is_not_said),
        RIG_TEST(a_muted_input_keeps_its_words),
        RIG_TEST(muted_and_moved_in_one_wake_up_it_keeps_them_too),
        RIG_TEST(one_that_eases_keeps_its_words_until_it_ends),
        RIG_TEST(what_moves_behind_many_others_changes_no_words),
        RIG_TEST(a_listing_is_of_what_was_judged),
        RIG_TEST(what_is_approved_meanwhile_changes_no_words),
        RIG_TEST(words_have_the_dead_band_of_the_judging),
        RIG_TEST(a_jump_that_is_forgotten_is_told_as_it_was),
        RIG_TEST(words_are_carried_along),
        RIG_TEST(words_stay_those_of_the_judging),
        cmocka_unit_test(nothing_that_is_judged_holds_prose),
    };

    return cmocka_run_group_tests_name("words", tests, NULL, NULL);
}
