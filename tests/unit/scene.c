/* SPDX-License-Identifier: MIT */
#include "scene.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { INPUTS = SCENE_INPUTS, MIXES = SCENE_MIXES };

void
scene_put(struct desk *desk, enum param_id id, int row, int column, double number)
{
    assert_int_not_equal(desk_set(desk, id, row, column, number, 1), CHANGE_REFUSED);
}

static bool
often(struct dice *dice, int in)
{
    return dice_below(dice, in) > 0;
}

static double
on_grid(struct dice *dice, double least, double most, double step)
{
    double number = dice_between(dice, least, most);

    return step > 0 ? round(number / step) * step : number;
}

static struct desk *
empty_desk(struct dice *dice)
{
    static const double steps[] = {0, 0.1, 0.5, 1};
    static const struct desk_counts counts = {.of = {[INDEX_INPUT] = INPUTS,
                                                     [INDEX_MIX] = MIXES,
                                                     [INDEX_GROUP] = 1,
                                                     [INDEX_INPUT_EQ_BAND] = 2,
                                                     [INDEX_MIX_EQ_BAND] = 2,
                                                     [INDEX_MIX_GRAPHIC_BAND] = 10}};
    struct desk *desk = desk_new(&counts);

    for (int id = 0; id < PARAMS; id++)
        desk_supply(desk, (enum param_id)id, SUPPLY_HEARD);
    if (often(dice, 4)) {
        desk_set_travel(desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){0, 60});
        desk_set_travel(desk, PARAM_SEND_LEVEL, (struct travel){-60, 10});
        desk_set_travel(desk, PARAM_MIX_FADER, (struct travel){-60, 10});
        desk_set_travel(desk, PARAM_INPUT_FADER, (struct travel){-60, 10});
        desk_set_travel(desk, PARAM_INPUT_COMP_THRESHOLD, (struct travel){-50, 10});
        desk_set_travel(desk, PARAM_INPUT_GATE_THRESHOLD, (struct travel){-80, 0});
    }
    desk_set_step(desk, PARAM_INPUT_PREAMP_GAIN, steps[dice_below(dice, 4)]);
    desk_set_step(desk, PARAM_SEND_LEVEL, steps[dice_below(dice, 3)]);
    desk_set_step(desk, PARAM_INPUT_COMP_THRESHOLD, steps[dice_below(dice, 4)]);
    return desk;
}

static void
fill_inscene_put(struct dice *dice, struct desk *desk, int input)
{
    double preamp = desk_step(desk, PARAM_INPUT_PREAMP_GAIN);

    scene_put(desk, PARAM_INPUT_PREAMP, input, 0,
              often(dice, 5) ? input : dice_below(dice, INPUTS));
    scene_put(desk, PARAM_INPUT_PREAMP_GAIN, input, 0, on_grid(dice, 5, 55, preamp));
    scene_put(desk, PARAM_INPUT_PHANTOM, input, 0, 0);
    scene_put(desk, PARAM_INPUT_POLARITY, input, 0, 0);
    scene_put(desk, PARAM_INPUT_DELAY, input, 0, 0);
    scene_put(desk, PARAM_INPUT_PAD, input, 0, often(dice, 5) ? 0 : 20);
    scene_put(desk, PARAM_INPUT_TRIM, input, 0, often(dice, 4) ? 0 : dice_between(dice, -10, 10));
    scene_put(desk, PARAM_INPUT_MUTE, input, 0, !often(dice, 8));
    scene_put(desk, PARAM_INPUT_FADER, input, 0,
              often(dice, 6) ? dice_between(dice, -15, 5) : -HUGE_VAL);
    scene_put(desk, PARAM_INPUT_LEVEL, input, 0, dice_between(dice, -60, -2));
    scene_put(desk, PARAM_INPUT_COMP_ON, input, 0, !often(dice, 2));
    scene_put(desk, PARAM_INPUT_COMP_THRESHOLD, input, 0, dice_between(dice, -40, 0));
    scene_put(desk, PARAM_INPUT_COMP_RATIO, input, 0, dice_between(dice, 1, 8));
    scene_put(desk, PARAM_INPUT_COMP_MAKEUP, input, 0,
              often(dice, 3) ? 0 : dice_between(dice, 0, 12));
    scene_put(desk, PARAM_INPUT_GATE_ON, input, 0, !often(dice, 3));
    scene_put(desk, PARAM_INPUT_GATE_THRESHOLD, input, 0, dice_between(dice, -70, -30));
    scene_put(desk, PARAM_INPUT_GROUP, input, 0, !often(dice, 3));
    scene_put(desk, PARAM_INPUT_HIGH_PASS_ON, input, 0, often(dice, 3));
    scene_put(desk, PARAM_INPUT_HIGH_PASS_FREQ, input, 0, dice_between(dice, 20, 200));
    scene_put(desk, PARAM_INPUT_HIGH_PASS_SLOPE, input, 0, 6 * (1 + dice_below(dice, 4)));
    scene_put(desk, PARAM_INPUT_EQ_ON, input, 0, often(dice, 5));
}

static void
fill_mix(struct dice *dice, struct desk *desk, int mix)
{
    scene_put(desk, PARAM_MIX_FADER, mix, 0,
              often(dice, 2)    ? 0
              : often(dice, 10) ? dice_between(dice, -15, 8)
                                : -HUGE_VAL);
    scene_put(desk, PARAM_MIX_TRIM, mix, 0, often(dice, 5) ? 0 : dice_between(dice, -6, 6));
    scene_put(desk, PARAM_MIX_DELAY, mix, 0, 0);
    scene_put(desk, PARAM_MIX_LIMITER_ON, mix, 0, often(dice, 3));
    scene_put(desk, PARAM_MIX_LIMITER_THRESHOLD, mix, 0, dice_between(dice, -30, -3));
    scene_put(desk, PARAM_MIX_LIMITER_RATIO, mix, 0, often(dice, 2) ? 20 : 4);
    scene_put(desk, PARAM_MIX_HIGH_PASS_ON, mix, 0, !often(dice, 3));
    scene_put(desk, PARAM_MIX_HIGH_PASS_FREQ, mix, 0, dice_between(dice, 20, 150));
    scene_put(desk, PARAM_MIX_HIGH_PASS_SLOPE, mix, 0, 12);
    for (int band = 0; band < 10; band++)
        scene_put(desk, PARAM_MIX_GRAPHIC_BAND_GAIN, mix, band,
                  often(dice, 3) ? 0 : on_grid(dice, -12, 6, 0.5));
    for (int input = 0; input < INPUTS; input++) {
        scene_put(desk, PARAM_SEND_ON, input, mix, often(dice, 8));
        scene_put(desk, PARAM_SEND_LEVEL, input, mix,
                  often(dice, 6) ? on_grid(dice, -25, 8, desk_step(desk, PARAM_SEND_LEVEL))
                                 : -HUGE_VAL);
        scene_put(desk, PARAM_SEND_TAP, input, mix, dice_below(dice, 3));
    }
}

static void
fill_bands(struct dice *dice, struct desk *desk, int row, enum param_id on)
{
    /* on, shape, freq, gain and Q stand in a row in the parameter table */
    for (int band = 0; band < 2; band++) {
        scene_put(desk, on, row, band, often(dice, 4));
        scene_put(desk, (enum param_id)(on + 1), row, band,
                  often(dice, 2) ? 0 : dice_below(dice, 6));
        scene_put(desk, (enum param_id)(on + 2), row, band,
                  40 * pow(200, dice_between(dice, 0, 1)));
        scene_put(desk, (enum param_id)(on + 3), row, band,
                  often(dice, 2) ? 0 : dice_between(dice, -10, 12));
        scene_put(desk, (enum param_id)(on + 4), row, band, dice_between(dice, 0.5, 8));
    }
}

/* What a preamp publishes it publishes with each of its inputs. */
static void
share_preamps(struct desk *desk)
{
    for (int input = 0; input < INPUTS; input++)
        for (int other = 0; other < input; other++)
            if (value_last_heard(desk_value(desk, PARAM_INPUT_PREAMP, other, 0)) ==
                value_last_heard(desk_value(desk, PARAM_INPUT_PREAMP, input, 0)))
                scene_put(desk, PARAM_INPUT_PREAMP_GAIN, input, 0,
                          value_last_heard(desk_value(desk, PARAM_INPUT_PREAMP_GAIN, other, 0)));
}

static void
fill_show(struct dice *dice, struct scene *scene)
{
    static const int checks[] = {CHECK_UNUSED_PREAMP_GAIN, CHECK_MASTER_OFF_UNITY,
                                 CHECK_OWN_SEND_OFF_UNITY};
    struct show *show = scene->show;

    show->role = often(dice, 5) ? (often(dice, 3) ? ROLE_MONITOR : ROLE_HOUSE) : ROLE_UNKNOWN;
    for (int input = 0; input < INPUTS; input++) {
        show->inputs[input].source = dice_below(dice, source_count);
        show->inputs[input].house_preamp = !often(dice, 15);
        show->inputs[input].also_feeds = often(dice, 15) ? ALSO_FEEDS_NOTHING : ALSO_FEEDS_STREAM;
        snprintf(show->inputs[input].player, sizeof show->inputs[input].player, "%c",
                 "AB"[dice_below(dice, 2)]);
    }
    for (int mix = 0; mix < MIXES; mix++) {
        show->mixes[mix].feeds = (enum feeds)(1 + dice_below(dice, FEEDS_COUNT - 2));
        snprintf(show->mixes[mix].player, sizeof show->mixes[mix].player, "%c", "ABC"[mix]);
    }
    if (often(dice, 3))
        return;
    scene->accept = (struct accept){.check = checks[dice_below(dice, 3)],
                                    .input = dice_below(dice, INPUTS),
                                    .mix = -1,
                                    .up_to = HUGE_VAL};
    if (scene->accept.check == CHECK_MASTER_OFF_UNITY) {
        scene->accept.mix = dice_below(dice, MIXES);
        scene->accept.input = -1;
    }
    show->accepts = malloc(sizeof *show->accepts);
    assert_non_null(show->accepts);
    *show->accepts = scene->accept;
    show->accept_count = 1;
}

/* The desk as it was approved, and then some hands were on it. */
static void
slip(struct dice *dice, struct scene *scene)
{
    static const enum param_id ids[] = {PARAM_INPUT_PREAMP_GAIN,  PARAM_INPUT_TRIM,
                                        PARAM_INPUT_COMP_MAKEUP,  PARAM_MIX_TRIM,
                                        PARAM_MIX_LIMITER_ON,     PARAM_MIX_LIMITER_THRESHOLD,
                                        PARAM_MIX_EQ_BAND_GAIN,   PARAM_MIX_EQ_BAND_FREQ,
                                        PARAM_MIX_EQ_BAND_Q,      PARAM_MIX_GRAPHIC_BAND_GAIN,
                                        PARAM_INPUT_HIGH_PASS_ON, PARAM_SEND_TAP,
                                        PARAM_MIX_FADER,          PARAM_SEND_LEVEL};

    if (often(dice, 3))
        return;
    scene->approved = desk_copy(scene->desk);
    for (int i = 1 + dice_below(dice, 6); i > 0; i--) {
        enum param_id id = ids[dice_below(dice, (int)(sizeof ids / sizeof *ids))];
        int row = dice_below(dice, desk_rows(scene->desk, id));
        int column = dice_below(dice, desk_columns(scene->desk, id));
        double now = value_last_heard(desk_value(scene->desk, id, row, column));
        double to = params[id].unit == UNIT_SWITCH ? (now == 0)
                    : params[id].unit == UNIT_WORD ? dice_below(dice, 3)
                    : params[id].unit == UNIT_DB   ? now + dice_between(dice, -12, 12)
                                                   : now * dice_between(dice, 0.5, 2);

        if (isfinite(now) && param_accepts(id, to))
            scene_put(scene->desk, id, row, column, to);
    }
    share_preamps(scene->desk);
}

struct scene
scene_random(struct dice *dice)
{
    static const enum param_id forgotten[] = {PARAM_SEND_LEVEL,           PARAM_SEND_TAP,
                                              PARAM_INPUT_PREAMP_GAIN,    PARAM_MIX_FADER,
                                              PARAM_INPUT_COMP_THRESHOLD, PARAM_INPUT_PREAMP};
    struct scene scene = {.desk = empty_desk(dice),
                          .show = check_set_show(check_set_all, INPUTS, MIXES)};

    for (int input = 0; input < INPUTS; input++) {
        fill_inscene_put(dice, scene.desk, input);
        fill_bands(dice, scene.desk, input, PARAM_INPUT_EQ_BAND_ON);
    }
    for (int mix = 0; mix < MIXES; mix++) {
        scene_put(scene.desk, PARAM_MIX_GRAPHIC_ON, mix, 0, often(dice, 4));
        scene_put(scene.desk, PARAM_MIX_EQ_ON, mix, 0, often(dice, 5));
        fill_mix(dice, scene.desk, mix);
        fill_bands(dice, scene.desk, mix, PARAM_MIX_EQ_BAND_ON);
    }
    scene_put(scene.desk, PARAM_GROUP_FADER, 0, 0, dice_between(dice, -10, 5));
    scene_put(scene.desk, PARAM_GROUP_MUTE, 0, 0, 0);
    share_preamps(scene.desk);
    desk_supply(scene.desk, PARAM_MIX_GRAPHIC_BAND_FREQ, SUPPLY_NONE);
    if (!often(dice, 10))
        desk_supply(scene.desk, forgotten[dice_below(dice, 6)], SUPPLY_HEARD);
    fill_show(dice, &scene);
    slip(dice, &scene);
    return scene;
}

void
scene_free(struct scene *scene)
{
    desk_free(scene->desk);
    desk_free(scene->approved);
    show_free(scene->show);
}

/* ---- what is advised and found ---- */

void
scene_apply(struct desk *desk, const struct card_move *move)
{
    scene_put(desk, move->id, move->row, move->column, move->to);
    for (int input = 0; move->id == PARAM_INPUT_PREAMP_GAIN && input < INPUTS; input++)
        if (desk_value(desk, PARAM_INPUT_PREAMP, input, 0)->state == VALUE_KNOWN &&
            value_last_heard(desk_value(desk, PARAM_INPUT_PREAMP, input, 0)) ==
                value_last_heard(desk_value(desk, PARAM_INPUT_PREAMP, move->row, 0)))
            scene_put(desk, move->id, input, 0, move->to);
}

struct plan *
scene_plan(const struct scene *scene, const struct desk *desk)
{
    struct ground ground = {.desk = desk, .show = scene->show, .approved = scene->approved};
    struct plan_wish wish = {.ground = &ground, .set = &check_set_all};

    return plan_new(&wish);
}

static enum outcome
outcome_of(const struct scene *scene, const struct desk *desk, int check, struct object object)
{
    struct ground ground = {.desk = desk, .show = scene->show, .approved = scene->approved};
    struct verdict verdict;

    check_run(check_set_all.of[check], &ground, CHECK_AFRESH, object, &verdict, NULL);
    return verdict.outcome;
}

static bool
fails(const struct scene *scene, const struct desk *desk, int check, struct object object)
{
    enum outcome outcome = outcome_of(scene, desk, check, object);

    return outcome == OUTCOME_FINDING || outcome == OUTCOME_FOLDED;
}

static bool
is_accepted(const struct scene *scene, int check, struct object object)
{
    return scene->show->accept_count > 0 && scene->accept.check == check &&
           (scene->accept.input < 0 || scene->accept.input == object.input) &&
           (scene->accept.mix < 0 || scene->accept.mix == object.mix);
}

bool
scene_finds(const struct scene *scene, const struct desk *desk, int check, struct object object)
{
    unsigned kind = object.input >= 0 ? OBJECT_INPUT : OBJECT_MIX;

    return check_set_all.of[check]->objects & kind &&
           outcome_of(scene, desk, check, object) == OUTCOME_FINDING &&
           !is_accepted(scene, check, object);
}

bool
scene_is_new(const struct scene *scene, const struct desk *base, const struct desk *after,
             int check, struct object object)
{
    return scene_finds(scene, after, check, object) && !fails(scene, base, check, object) &&
           !(scene->approved && fails(scene, scene->approved, check, object));
}
