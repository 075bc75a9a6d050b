/* SPDX-License-Identifier: MIT */
/* Silence is no news. Random desks, as a watch has them: perhaps approved, set up, hands on them
 * since, leaps among what those did. Then some values are heard no more, from one to all, and at
 * last all of them again, as they were. While they are missing nothing may be raised, grow worse or
 * clear, since no control was moved; nor when they are back.
 */
#include "unit.h"

#include <inttypes.h>
#include <stdlib.h>

#include "desk/source.h"
#include "engine/engine.h"
#include "scene.h"

enum { DESKS = 3000 };
enum { SET_UP_MS = 1000, HANDS_MS = 2000, SILENT_MS = 3000, BACK_MS = 4000, AGAIN_MS = 5000 };
enum { LATER_MS = 605000 }; /* what leapt counts as meant after two minutes of being seen */

/* What was told of a check though nothing moved, and on which desk first. */
struct tally {
    size_t told[3]; /* by enum event_kind */
    uint64_t seed;
};

struct news {
    struct tally of[CHECKS];
    uint64_t seed; /* of the desk in hand */
};

static void
count(void *context, const struct event *event)
{
    struct news *news = context;
    struct tally *tally = &news->of[event->finding->check->number];

    if (tally->told[0] + tally->told[1] + tally->told[2] == 0)
        tally->seed = news->seed;
    tally->told[event->kind]++;
}

/* Calls for each value of the desk that comes over the wire. */
typedef void each_fn(void *context, enum param_id id, int row, int column);

static void
each_value(const struct desk *desk, each_fn *each, void *context)
{
    for (int id = 0; id < PARAMS; id++)
        for (int row = 0; row < desk_rows(desk, (enum param_id)id); row++)
            for (int column = 0; column < desk_columns(desk, (enum param_id)id); column++)
                if (desk_supplied(desk, (enum param_id)id) == SUPPLY_HEARD &&
                    desk_value(desk, (enum param_id)id, row, column)->state != VALUE_UNKNOWN)
                    each(context, (enum param_id)id, row, column);
}

/* Whoever speaks: all of a desk at a time, but what is silent. */
struct speech {
    struct engine *engine;
    const struct desk *desk;
    struct dice *dice;
    int64_t now_ms;
    int silent_of; /* one of so many values is; 0: none, 1: all */
};

static void
speak(void *context, enum param_id id, int row, int column)
{
    struct speech *speech = context;

    if (speech->silent_of > 0 && dice_below(speech->dice, speech->silent_of) == 0)
        return;
    if (params[id].unit == UNIT_TEXT)
        engine_hear_text(speech->engine, id, row, column, desk_text(speech->desk, id, row, column),
                         speech->now_ms);
    else
        engine_hear(speech->engine, id, row, column,
                    value_last_heard(desk_value(speech->desk, id, row, column)), speech->now_ms);
}

/* Labels in place of what the show file names: they may fall silent, too. */
static void
label(struct scene *scene, struct dice *dice)
{
    static const char *const inputs[] = {"Ld Vox", "Kick", "Keys L", "OH R", "Line 3"};
    static const char *const mixes[] = {"Wedge 1", "Bass IEM", "Drum-fill", "Aux 5"};
    struct desk *const desks[] = {scene->desk, scene->approved};

    for (int input = 0; input < SCENE_INPUTS; input++) {
        const char *name = inputs[dice_below(dice, COUNT(inputs))];

        scene->show->inputs[input].source = SOURCE_UNKNOWN;
        for (size_t i = 0; i < COUNT(desks) && desks[i]; i++)
            desk_set_text(desks[i], PARAM_INPUT_NAME, input, 0, name, 1);
    }
    for (int mix = 0; mix < SCENE_MIXES; mix++) {
        const char *name = mixes[dice_below(dice, COUNT(mixes))];

        scene->show->mixes[mix].feeds = FEEDS_UNKNOWN;
        for (size_t i = 0; i < COUNT(desks) && desks[i]; i++)
            desk_set_text(desks[i], PARAM_MIX_NAME, mix, 0, name, 1);
    }
}

/* As a watch has it, when the hands were on it. */
static struct engine *
watched(const struct scene *scene, struct dice *dice)
{
    const struct desk *before = scene->approved ? scene->approved : scene->desk;
    struct engine *engine = engine_new(desk_copy(before), scene->show, check_set_all);
    struct speech hands = {engine, scene->desk, dice, HANDS_MS, 0};

    engine_remember(engine);
    if (dice_below(dice, 2) == 0 && scene->approved)
        engine_set_approved(engine, desk_copy(scene->approved));
    engine_run(engine, SET_UP_MS, NULL, NULL);
    engine_anchor(engine);
    each_value(scene->desk, speak, &hands);
    engine_run(engine, HANDS_MS, NULL, NULL);
    return engine;
}

/* Some values, or all, are not heard at that time. */
static void
fall_silent(struct speech speech)
{
    static const int shares[] = {1, 2, 8, 64, 512};

    speech.silent_of = shares[dice_below(speech.dice, 5)];
    each_value(speech.desk, speak, &speech);
    engine_expire(speech.engine, speech.now_ms);
}

static void
silence(struct engine *engine, struct dice *dice, struct news *news)
{
    struct desk *said = desk_copy(engine_desk(engine));
    struct speech back = {engine, said, dice, BACK_MS, 0};

    fall_silent((struct speech){engine, said, dice, SILENT_MS, 0});
    engine_run(engine, SILENT_MS, count, news);
    each_value(said, speak, &back);
    engine_run(engine, BACK_MS, count, news);
    desk_free(said);
}

/* Time alone makes nothing known. */
static void
silence_for_long(struct engine *engine, struct dice *dice, struct news *news)
{
    struct desk *said = desk_copy(engine_desk(engine));
    struct speech nobody = {engine, said, dice, AGAIN_MS, 1};

    each_value(said, speak, &nobody);
    engine_expire(engine, AGAIN_MS);
    engine_run(engine, AGAIN_MS, count, news);
    engine_run(engine, LATER_MS, count, news);
    desk_free(said);
}

static void
test_silence_changes_nothing(void **state)
{
    struct dice dice = dice_new();
    struct news news = {.seed = 0};
    size_t told = 0;

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        struct scene scene;
        struct engine *engine;

        news.seed = dice.state;
        scene = scene_random(&dice);
        if (dice_below(&dice, 2) == 0)
            label(&scene, &dice);
        engine = watched(&scene, &dice);
        scene.show = NULL; /* the engine's */
        silence(engine, &dice, &news);
        silence_for_long(engine, &dice, &news);
        engine_free(engine);
        scene_free(&scene);
    }
    for (int check = 0; check < CHECKS; check++) {
        const struct tally *tally = &news.of[check];
        size_t sum = tally->told[0] + tally->told[1] + tally->told[2];

        if (sum > 0)
            print_message("%s: raised %zu, worse %zu, cleared %zu; GW_SEED=%" PRIu64
                          " begins with such a desk\n",
                          check_set_all.of[check]->id, tally->told[EVENT_RAISED],
                          tally->told[EVENT_WORSE], tally->told[EVENT_CLEARED], tally->seed);
        told += sum;
    }
    assert_int_equal(told, 0);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_silence_changes_nothing)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
