/* SPDX-License-Identifier: MIT */
/* What a ring-out may hold back, over random evenings with a printed seed: leaps, slips past what
 * was proved, limiters that go off, mutes, stale values, ring-outs of any mixes that begin and end.
 *
 *   - no stop is ever held, nor anything of another check;
 *   - nothing is held for longer than two minutes after anything moved;
 *   - nothing is held of a mix that is not rung out, or that is no loudspeaker for sure: of what
 *     leapt the control is looked at here, and where its sends lead.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "proof/kept.h"
#include "unit.h"
#include "watch_rig.h"
#include "watcher/ring_out.h"

enum { INPUTS = 6, MIXES = 5, TALES = 20, STEPS_A_TALE = 600 };

static const struct {
    enum param_id id;
    int count;
    double numbers[8];
} menu[] = {
    {PARAM_INPUT_PREAMP_GAIN, 4, {10, 20, 42, 55}},
    {PARAM_INPUT_TRIM, 3, {0, -6, 12}},
    {PARAM_INPUT_MUTE, 4, {0, 0, 0, 1}},
    {PARAM_SEND_LEVEL, 7, {-HUGE_VAL, -HUGE_VAL, -20, -6, 0, 6, 9}},
    {PARAM_SEND_ON, 4, {0, 1, 1, 1}},
    {PARAM_MIX_FADER, 5, {-8, -2, 0, 6, 9}},
    {PARAM_MIX_MUTE, 4, {0, 0, 0, 1}},
    {PARAM_MIX_GRAPHIC_BAND_GAIN, 4, {0, -3, -6, 6}},
    {PARAM_MIX_LIMITER_ON, 3, {0, 1, 1}},
    {PARAM_INPUT_GROUP, 2, {0, 1}},
    {PARAM_GROUP_FADER, 3, {0, -10, 9}},
};

struct tale {
    struct watch_rig *rig;
    struct dice dice;
    bool rung[MIXES];
    bool rings;
    int64_t moved_ms; /* or begun, or ended */
    size_t held, told_stops, told_meanwhile;
};

static bool
is_rung(const struct tale *tale, int mix)
{
    enum feeds feeds = tale->rig->rig.show->mixes[mix].feeds;

    return tale->rings && tale->rung[mix] &&
           (feeds == FEEDS_WEDGE || feeds == FEEDS_SIDE_FILL || feeds == FEEDS_DRUM_FILL);
}

static bool
is_off(const struct desk *desk, enum param_id id, int row, int column, double off)
{
    const struct value *value = desk_value(desk, id, row, column);

    return value->state == VALUE_KNOWN && value_number(value) == off;
}

/* What leapt in front of the sends leads nowhere else. */
static bool
leads_only_there(const struct tale *tale, int input)
{
    const struct desk *desk = tale->rig->rig.desk;

    for (int mix = 0; mix < MIXES; mix++)
        if (!is_rung(tale, mix) && !is_off(desk, PARAM_SEND_LEVEL, input, mix, -HUGE_VAL) &&
            !is_off(desk, PARAM_SEND_ON, input, mix, 0) &&
            !is_off(desk, PARAM_MIX_MUTE, mix, 0, 1) &&
            !is_off(desk, PARAM_MIX_FADER, mix, 0, -HUGE_VAL))
            return false;
    return true;
}

static void
check_leap(const struct tale *tale, const struct finding *finding)
{
    double send = verdict_figure(&finding->verdict, "send_into_mix");
    double master = verdict_figure(&finding->verdict, "master_of_mix");
    double trim = verdict_figure(&finding->verdict, "trim_of_mix");

    if (!isnan(send))
        assert_true(is_rung(tale, (int)send - 1));
    else if (!isnan(master) || !isnan(trim))
        assert_true(is_rung(tale, finding->object.mix));
    else
        assert_true(finding->object.input >= 0 && leads_only_there(tale, finding->object.input));
}

static void
check_held(struct tale *tale, const struct finding *finding)
{
    tale->held++;
    assert_true(tale->rings);
    assert_true(finding->verdict.weight != WEIGHT_STOP);
    assert_true(tale->rig->rig.now_ms - tale->moved_ms <= RING_OUT_MOST_MS);
    switch (finding->check->number) {
    case CHECK_VALUE_JUMPED:
        check_leap(tale, finding);
        break;
    case CHECK_MASTER_OFF_UNITY:
        assert_false(verdict_figure(&finding->verdict, "master_db") > 0);
        assert_true(is_rung(tale, finding->object.mix));
        break;
    default:
        assert_int_equal(finding->check->number, CHECK_MARGIN_LEFT);
        assert_true(is_rung(tale, finding->object.mix));
    }
}

static void
on_event(void *context, const struct event *event)
{
    struct tale *tale = context;

    if (tale->rig->hidden == HIDDEN_BY_RING_OUT)
        check_held(tale, event->finding);
}

static void
on_message(void *context, const struct message *message)
{
    struct tale *tale = context;

    for (size_t i = 0; i < message->count && tale->rings; i++) {
        int check = message->edges[i].finding->check->number;

        tale->told_stops += message->edges[i].finding->verdict.weight == WEIGHT_STOP;
        tale->told_meanwhile += check == CHECK_MARGIN_LEFT || check == CHECK_VALUE_JUMPED;
    }
}

/* Between two moves, once all of it was looked at. */
static void
check_all(struct tale *tale)
{
    const struct engine *engine = tale->rig->rig.engine;

    if (!watcher_is_calm(tale->rig->watcher))
        return;
    for (size_t slot = 0; slot < engine_slots(engine); slot++) {
        const struct finding *finding = engine_slot(engine, slot);
        int by;

        if (!finding->life.frozen && finding->life.state == LIFE_RAISED &&
            watcher_hidden(tale->rig->watcher, finding, &by) == HIDDEN_BY_RING_OUT)
            check_held(tale, finding);
    }
}

/* ---- what happens ---- */

static void
move_one(struct tale *tale)
{
    size_t pick = (size_t)dice_below(&tale->dice, (int)COUNT(menu));
    enum param_id id = menu[pick].id;

    rig_set(&tale->rig->rig, id, dice_below(&tale->dice, desk_rows(tale->rig->rig.desk, id)),
            dice_below(&tale->dice, desk_columns(tale->rig->rig.desk, id)),
            menu[pick].numbers[dice_below(&tale->dice, menu[pick].count)]);
    tale->moved_ms = tale->rig->rig.now_ms;
}

static void
begin_or_end(struct tale *tale)
{
    tale->rings = dice_below(&tale->dice, 4) > 0;
    tale->moved_ms = tale->rig->rig.now_ms;
    for (int mix = 0; mix < MIXES; mix++)
        tale->rung[mix] = dice_below(&tale->dice, 2) == 0;
    if (tale->rings)
        watcher_ring_out(tale->rig->watcher, tale->rung, tale->rig->rig.now_ms);
    else
        watcher_end_ring_out(tale->rig->watcher, tale->rig->rig.now_ms);
}

static void
step(struct tale *tale)
{
    int what = dice_below(&tale->dice, 100);

    if (what < 80)
        move_one(tale);
    else if (what < 83)
        engine_expire(tale->rig->rig.engine,
                      tale->rig->rig.now_ms - dice_below(&tale->dice, 20000));
    else if (what < 86)
        for (int i = 0; i < 60; i++)
            move_one(tale);
    else
        begin_or_end(tale);
    watcher_run(tale->rig->watcher, tale->rig->rig.now_ms);
    check_all(tale);
    watch_rig_pass(tale->rig,
                   dice_below(&tale->dice, what % 29 == 0 ? 2 * RING_OUT_MOST_MS : 1500));
    check_all(tale);
}

static void
tell_tale(struct tale *tale)
{
    static const enum feeds feeds[MIXES] = {FEEDS_WEDGE, FEEDS_IN_EAR, FEEDS_UNKNOWN,
                                            FEEDS_SIDE_FILL, FEEDS_DRUM_FILL};
    struct proof_ceiling ceiling = {.mix = -1};
    struct proofs proofs = {.ceilings = &ceiling, .ceiling_count = 1};

    watch_rig_start(tale->rig, INPUTS, MIXES, ROOM_DOORS);
    tale->rig->also = on_message;
    tale->rig->also_edge = on_event;
    tale->rig->also_context = tale;
    tale->rings = false;
    for (int mix = 0; mix < MIXES; mix++)
        tale->rig->rig.show->mixes[mix].feeds = feeds[mix];
    for (int input = 0; input < INPUTS; input++)
        rig_set(&tale->rig->rig, PARAM_SEND_LEVEL, input, input % MIXES, -6);
    ceiling.desk = desk_copy(tale->rig->rig.desk);
    proofs.left = desk_copy(tale->rig->rig.desk);
    engine_set_proofs(tale->rig->rig.engine, &proofs);
    watch_rig_begin(tale->rig);
    for (int i = 0; i < STEPS_A_TALE; i++) {
        step(tale);
        watch_rig_forget(tale->rig);
    }
    desk_free(ceiling.desk);
    desk_free(proofs.left);
    engine_set_proofs(tale->rig->rig.engine, NULL);
}

static void
no_stop_and_no_ears_are_ever_held(void **state)
{
    struct tale tale = {.rig = *state, .dice = dice_new()};

    for (int i = 0; i < TALES; i++)
        tell_tale(&tale);
    printf("held %zu times; told meanwhile: %zu of what may be held, %zu stops\n", tale.held,
           tale.told_meanwhile, tale.told_stops);
    assert_true(tale.held > 50 && tale.told_meanwhile > 50 && tale.told_stops > 10);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {WATCH_RIG_TEST(no_stop_and_no_ears_are_ever_held)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
