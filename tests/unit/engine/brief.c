/* SPDX-License-Identifier: MIT */
/* A finding in one row: the figure first, then where, then what to do, in words that are made for it
 * and not cut out of longer ones.
 */
#include "check/brief.h"

#include <math.h>
#include <string.h>

#include "rig.h"
#include "scene.h"
#include "unit.h"

enum { INPUTS = 4, MIXES = 3, SCENES = 400 };

static void
start(struct rig *rig)
{
    rig_start(rig, INPUTS, MIXES);
    engine_remember(rig->engine);
    desk_set_travel(rig->desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){0, 60});
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ld Vox");
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Ld Vox wedge");
    rig_set_text(rig, PARAM_MIX_NAME, 1, "Drums IEM");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -13);
    rig_set(rig, PARAM_MIX_LIMITER_ON, 1, 0, 1);
    rig_run(rig);
    engine_anchor(rig->engine);
    rig->now_ms += 60000;
}

static const struct brief *
brief_of(struct rig *rig, const char *check, int input, int mix)
{
    static struct brief brief;
    const struct finding *finding = rig_finding(rig, check, input, mix);

    assert_non_null(finding);
    engine_brief(rig->engine, finding, true, &brief);
    return &brief;
}

static void
a_leap_is_put_back(void **state)
{
    struct rig *rig = *state;
    const struct brief *brief;

    start(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 10);
    rig_run(rig);
    brief = brief_of(rig, "value-jumped", 0, -1);
    assert_string_equal(brief->figure, "+23 dB");
    assert_string_equal(brief->place, "Ld Vox -> 1 Ld Vox wedge");
    assert_string_equal(brief->cure, "put it back to -13");
}

static void
other_controls_are_named(void **state)
{
    struct rig *rig = *state;
    const struct brief *brief;

    start(rig);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 45);
    rig_set(rig, PARAM_MIX_LIMITER_ON, 1, 0, 0);
    rig_run(rig);
    brief = brief_of(rig, "value-jumped", 0, -1);
    assert_string_equal(brief->figure, "+15 dB");
    assert_string_equal(brief->place, "input 1 Ld Vox");
    assert_string_equal(brief->cure, "preamp back to 30");
    brief = brief_of(rig, "ears-unprotected", -1, 1);
    assert_string_equal(brief->figure, "no limiter");
    assert_string_equal(brief->place, "mix 2 Drums IEM");
    assert_string_equal(brief->cure, "packs down, then the limiter on");
}

/* What goes up goes up slowly. */
static void
a_master_that_fell(void **state)
{
    struct rig *rig = *state;
    const struct brief *brief;

    start(rig);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -8);
    rig_run(rig);
    brief = brief_of(rig, "master-off-unity", -1, 0);
    assert_string_equal(brief->figure, "-8 dB");
    assert_string_equal(brief->place, "mix 1 Ld Vox wedge");
    assert_string_equal(brief->cure, "master back to 0, slowly");
}

static void
what_is_not_judged_yet_has_no_figure(void **state)
{
    struct rig *rig = *state;
    struct told told = {.check = CHECK_VALUE_JUMPED,
                        .object = {0, -1},
                        .weight = WEIGHT_FIX,
                        .says = "it leapt",
                        .cure = "put it back"};
    struct brief brief;

    start(rig);
    engine_brief(rig->engine, engine_slot(rig->engine, engine_restore(rig->engine, &told)), true,
                 &brief);
    assert_string_equal(brief.figure, "");
    assert_string_equal(brief.place, "input 1 Ld Vox");
    assert_string_equal(brief.cure, "");
}

static void
assert_whole(const struct check *check, const struct verdict *verdict, bool seen[CHECKS])
{
    char figure[40], cure[200];
    struct text text;

    text_init(&text, figure, sizeof figure);
    brief_figure(&text, check->number, verdict);
    if (text.used == 0 || text.cut)
        fail_msg("%s has no figure", check->id);
    text_init(&text, cure, sizeof cure);
    brief_cure(&text, check->number, verdict);
    if (text.used == 0 || text.cut)
        fail_msg("%s has no cure", check->id);
    seen[check->number] = true;
}

/* Every check, on whatever desk: what it finds has a figure and a cure in few words. */
static void
every_check_has_them(void **state)
{
    struct dice dice = dice_new();
    bool seen[CHECKS] = {false};

    (void)state;
    for (int i = 0; i < SCENES; i++) {
        struct scene scene = scene_random(&dice);
        struct ground ground = {.desk = scene.desk, .show = scene.show, .approved = scene.approved};

        for (int c = 0; c < CHECKS; c++)
            for (int o = 0; o < SCENE_INPUTS + SCENE_MIXES; o++) {
                const struct check *check = check_set_all.of[c];
                bool input = o < SCENE_INPUTS;
                struct object object = {input ? o : -1, input ? -1 : o - SCENE_INPUTS};
                struct verdict verdict;

                if (!(check->objects & (input ? OBJECT_INPUT : OBJECT_MIX)))
                    continue;
                check_run(check, &ground, CHECK_AFRESH, object, &verdict, NULL);
                if (verdict.outcome == OUTCOME_FINDING && verdict.figure_count > 0)
                    assert_whole(check, &verdict, seen);
            }
        scene_free(&scene);
    }
    for (int c = 0; c < CHECKS; c++) { /* a verdict of no such figure takes the last row */
        struct verdict verdict = {.figure_count = 1, .figures = {{"other", 1}}};

        assert_whole(check_set_all.of[c], &verdict, seen);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(a_leap_is_put_back),           RIG_TEST(other_controls_are_named),
        RIG_TEST(a_master_that_fell),           RIG_TEST(what_is_not_judged_yet_has_no_figure),
        cmocka_unit_test(every_check_has_them),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
