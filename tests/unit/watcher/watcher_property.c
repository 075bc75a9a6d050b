/* SPDX-License-Identifier: MIT */
/* A watch over random evenings: values that move, slide, leap, go stale and come again, mutes,
 * recalls, a desk that is lost, rooms and quietings, over 100,000 steps with a printed seed.
 * Whatever happens,
 *
 *   - no message without an edge: what it raises was not believed open, what it clears was;
 *   - no clear on missing data;
 *   - no two messages for one cause;
 *   - nothing that was held back is never told: once the desk is whole and still and nothing holds
 *     back any more, people believe exactly what stands.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "unit.h"
#include "watch_rig.h"

enum { INPUTS = 8, MIXES = 4, STEPS = 100000, STEPS_A_TALE = 2500, CAUSES_SEEN = 512 };

static const struct {
    enum param_id id;
    int count;
    double numbers[8];
} menu[] = {
    {PARAM_INPUT_PREAMP_GAIN, 4, {10, 30, 30, 42}},
    {PARAM_INPUT_PREAMP, 4, {0, 1, 2, 3}},
    {PARAM_INPUT_TRIM, 3, {0, 0, -6}},
    {PARAM_INPUT_PHANTOM, 2, {0, 1}},
    {PARAM_INPUT_MUTE, 4, {0, 0, 0, 1}},
    {PARAM_INPUT_FADER, 4, {0, 0, -10, 5}},
    {PARAM_INPUT_HIGH_PASS_ON, 3, {0, 1, 1}},
    {PARAM_INPUT_GROUP, 2, {0, 1}},
    {PARAM_SEND_LEVEL, 8, {-HUGE_VAL, -HUGE_VAL, 0, -6, -12, -20, -30, 6}},
    {PARAM_SEND_TAP, 4, {TAP_PRE_EQ, TAP_PRE_FADER, TAP_PRE_FADER, TAP_POST_FADER}},
    {PARAM_MIX_FADER, 8, {0, 0, -0.49, -0.51, -3, -8, 0.3, 6}},
    {PARAM_MIX_MUTE, 4, {0, 0, 0, 1}},
    {PARAM_MIX_GRAPHIC_ON, 4, {0, 1, 1, 1}},
    {PARAM_MIX_GRAPHIC_BAND_GAIN, 4, {0, -3, -6, -12}},
    {PARAM_MIX_LIMITER_ON, 3, {0, 1, 1}},
    {PARAM_MIX_LIMITER_THRESHOLD, 3, {-12, -6, 0}},
    {PARAM_GROUP_FADER, 3, {0, -6, 8}},
    {PARAM_DESK_TALKBACK, 3, {0, 0, 1}},
};

struct tale {
    struct watch_rig *rig;
    struct dice dice;
    bool *believed; /* by slot, from messages alone */
    struct {
        enum cause_kind kind;
        int number;
        int64_t begun_ms;
    } seen[CAUSES_SEEN]; /* a ring */
    size_t seen_count;
    size_t told, clears, recalls;
};

/* ---- what must hold of every message ---- */

static void
check_edge(struct tale *tale, const struct edge *edge)
{
    bool *believed = &tale->believed[edge->finding->slot];

    switch (edge->kind) {
    case EDGE_RAISED:
    case EDGE_FOLLOWS:
    case EDGE_STAYS:
        assert_false(*believed);
        *believed = true;
        break;
    case EDGE_WORSE:
        assert_true(*believed);
        break;
    case EDGE_CLEARED:
    case EDGE_ENDS:
        assert_true(*believed);
        *believed = false;
        break;
    }
    tale->told++;
}

static bool
moves_make(enum cause_kind kind)
{
    return kind == CAUSE_INPUT || kind == CAUSE_PREAMP || kind == CAUSE_MIX || kind == CAUSE_GROUP;
}

static void
check_cause(struct tale *tale, const struct cause *cause)
{
    size_t kept = tale->seen_count < CAUSES_SEEN ? tale->seen_count : CAUSES_SEEN;

    tale->recalls += cause->kind == CAUSE_RECALL;
    if (!moves_make(cause->kind))
        return;
    for (size_t i = 0; i < kept; i++)
        assert_false(tale->seen[i].kind == cause->kind && tale->seen[i].number == cause->number &&
                     tale->seen[i].begun_ms == cause->begun_ms);
    tale->seen[tale->seen_count % CAUSES_SEEN].kind = cause->kind;
    tale->seen[tale->seen_count % CAUSES_SEEN].number = cause->number;
    tale->seen[tale->seen_count++ % CAUSES_SEEN].begun_ms = cause->begun_ms;
}

static void
on_message(void *context, const struct message *message)
{
    struct tale *tale = context;

    if (message->count == 0)
        assert_true(message->cause.kind == CAUSE_RECALL || message->cause.kind == CAUSE_SETTLED ||
                    message->cause.kind == CAUSE_BACK);
    for (size_t i = 0; i < message->count; i++)
        check_edge(tale, &message->edges[i]);
    check_cause(tale, &message->cause);
}

/* What the check says of the object now, asked afresh. */
static enum outcome
ask_afresh(struct tale *tale, const struct finding *finding)
{
    struct ground ground = {.desk = tale->rig->rig.desk,
                            .show = tale->rig->rig.show,
                            .approved = engine_approved(tale->rig->rig.engine),
                            .anchor = engine_anchored(tale->rig->rig.engine),
                            .moves = engine_moves(tale->rig->rig.engine),
                            .now_ms = tale->rig->rig.now_ms};
    struct verdict verdict;

    check_run(finding->check, &ground, CHECK_AFRESH, finding->object, &verdict, NULL);
    return verdict.outcome;
}

static void
on_event(void *context, const struct event *event)
{
    struct tale *tale = context;
    enum outcome outcome;

    assert_false(event->finding->life.frozen);
    if (event->kind != EVENT_CLEARED)
        return;
    outcome = ask_afresh(tale, event->finding);
    assert_true(outcome != OUTCOME_NOT_KNOWN && outcome != OUTCOME_CLOSED);
    tale->clears++;
}

/* ---- what happens ---- */

static void
hear_again(struct tale *tale, enum param_id id, int row, int column)
{
    struct rig *rig = &tale->rig->rig;
    double number = value_last_heard(desk_value(rig->desk, id, row, column));

    if (desk_supplied(rig->desk, id) != SUPPLY_HEARD)
        return;
    if (params[id].unit == UNIT_TEXT)
        engine_hear_text(rig->engine, id, row, column, desk_text(rig->desk, id, row, column),
                         rig->now_ms);
    else
        engine_hear(rig->engine, id, row, column, number, rig->now_ms);
}

static void
hear_everything(struct tale *tale)
{
    const struct desk *desk = tale->rig->rig.desk;

    for (int id = 0; id < PARAMS; id++)
        for (int row = 0; row < desk_rows(desk, (enum param_id)id); row++)
            for (int column = 0; column < desk_columns(desk, (enum param_id)id); column++)
                hear_again(tale, (enum param_id)id, row, column);
}

static void
hear_some(struct tale *tale)
{
    const struct desk *desk = tale->rig->rig.desk;

    for (int i = 0; i < 300; i++) {
        enum param_id id = (enum param_id)dice_below(&tale->dice, PARAMS);

        if (desk_rows(desk, id) > 0 && desk_columns(desk, id) > 0)
            hear_again(tale, id, dice_below(&tale->dice, desk_rows(desk, id)),
                       dice_below(&tale->dice, desk_columns(desk, id)));
    }
}

static void
move_one(struct tale *tale)
{
    size_t pick = (size_t)dice_below(&tale->dice, (int)COUNT(menu));
    enum param_id id = menu[pick].id;

    rig_set(&tale->rig->rig, id, dice_below(&tale->dice, desk_rows(tale->rig->rig.desk, id)),
            dice_below(&tale->dice, desk_columns(tale->rig->rig.desk, id)),
            menu[pick].numbers[dice_below(&tale->dice, menu[pick].count)]);
}

static void
slide(struct tale *tale)
{
    int mix = dice_below(&tale->dice, MIXES);
    double from = dice_between(&tale->dice, -9, 3);

    for (int i = 0; i < 20; i++) {
        watch_rig_move(tale->rig, PARAM_MIX_FADER, mix, 0, from);
        from += dice_between(&tale->dice, -0.4, 0.4);
    }
}

static void
lose_and_find(struct tale *tale)
{
    engine_expire(tale->rig->rig.engine, INT64_MAX);
    watcher_lost(tale->rig->watcher);
    watch_rig_pass(tale->rig, dice_below(&tale->dice, 60000));
    for (int i = dice_below(&tale->dice, 20); i > 0; i--)
        move_one(tale);
    if (dice_below(&tale->dice, 3) > 0)
        hear_everything(tale);
    else
        hear_some(tale);
    watcher_back(tale->rig->watcher, true, tale->rig->rig.now_ms);
}

static void
quiet_something(struct tale *tale)
{
    int64_t now_ms = tale->rig->rig.now_ms;
    struct quiet quiet = {
        .check = dice_below(&tale->dice, CHECKS + 1) - 1,
        .input = dice_below(&tale->dice, 3) == 0 ? dice_below(&tale->dice, INPUTS) : -1,
        .mix = dice_below(&tale->dice, 3) == 0 ? dice_below(&tale->dice, MIXES) : -1,
        .stop_too = dice_below(&tale->dice, 2) == 0,
        .until_ms = now_ms + dice_below(&tale->dice, 300000),
        .why = "a random one"};

    quiets_add(watcher_quiets(tale->rig->watcher), &quiet);
}

static void
change_room(struct tale *tale)
{
    enum room room = (enum room)dice_below(&tale->dice, ROOMS);
    int64_t until_ms = room == ROOM_CHANGEOVER
                           ? tale->rig->rig.now_ms + dice_below(&tale->dice, 120000)
                           : INT64_MAX;

    watcher_set_room(tale->rig->watcher, room, "so the dice say", until_ms, tale->rig->rig.now_ms);
}

static void
step(struct tale *tale)
{
    int what = dice_below(&tale->dice, 400);

    if (what < 330)
        move_one(tale);
    else if (what < 350)
        hear_some(tale);
    else if (what < 370)
        engine_expire(tale->rig->rig.engine,
                      tale->rig->rig.now_ms - dice_below(&tale->dice, 20000));
    else if (what < 380)
        slide(tale);
    else if (what < 384)
        for (int i = 0; i < 60; i++)
            move_one(tale);
    else if (what < 388)
        lose_and_find(tale);
    else if (what < 394)
        change_room(tale);
    else
        quiet_something(tale);
    watch_rig_pass(tale->rig, dice_below(&tale->dice, what % 7 == 0 ? 15000 : 800));
}

/* ---- the end of a tale ---- */

static void
heal(struct tale *tale)
{
    struct quiets *quiets = watcher_quiets(tale->rig->watcher);

    for (size_t i = 0; i < quiets->count; i++)
        quiets_end(quiets, quiets->list[i].number, tale->rig->rig.now_ms);
    watcher_set_room(tale->rig->watcher, ROOM_DOORS, "the end", INT64_MAX, tale->rig->rig.now_ms);
    hear_everything(tale);
    for (int mix = 0; mix < MIXES; mix++)
        rig_set(&tale->rig->rig, PARAM_MIX_MUTE, mix, 0, 0);
    for (int input = 0; input < INPUTS; input++)
        rig_set(&tale->rig->rig, PARAM_INPUT_MUTE, input, 0, 0);
    watch_rig_pass(tale->rig, 300000);
}

static void
check_beliefs(struct tale *tale)
{
    const struct engine *engine = tale->rig->rig.engine;

    for (size_t slot = 0; slot < engine_slots(engine); slot++) {
        const struct finding *finding = engine_slot(engine, slot);
        enum outcome outcome = ask_afresh(tale, finding);

        if (tale->believed[slot] != finding->told)
            fail_msg("%s of input %d, mix %d: people believe %d, and it is %d", finding->check->id,
                     finding->object.input + 1, finding->object.mix + 1, tale->believed[slot],
                     finding->told);
        if (!tale->rig->rig.show->checks[finding->check->number].off && outcome == OUTCOME_FINDING)
            assert_true(finding->told);
    }
}

static void
start(struct tale *tale)
{
    struct show *show;

    watch_rig_start(tale->rig, INPUTS, MIXES, ROOM_DOORS);
    show = tale->rig->rig.show;
    for (int mix = 0; mix < MIXES; mix++)
        show->mixes[mix].feeds = mix % 2 ? FEEDS_IN_EAR : FEEDS_WEDGE;
    tale->rig->also = on_message;
    tale->rig->also_edge = on_event;
    tale->rig->also_context = tale;
    free(tale->believed);
    tale->believed = calloc(engine_slots(tale->rig->rig.engine) + 1, sizeof *tale->believed);
    assert_non_null(tale->believed);
    tale->seen_count = 0;
    for (int i = 0; i < 100; i++)
        move_one(tale);
    watch_rig_begin(tale->rig);
    for (size_t slot = 0; slot < engine_slots(tale->rig->rig.engine); slot++)
        tale->believed[slot] |=
            watcher_is_told(tale->rig->watcher, engine_slot(tale->rig->rig.engine, slot)) &&
            tale->rig->messages == 0;
}

static void
people_believe_what_stands(void **state)
{
    struct tale tale = {.rig = *state, .dice = dice_new()};

    for (int done = 0; done < STEPS; done += STEPS_A_TALE) {
        start(&tale);
        for (int i = 0; i < STEPS_A_TALE; i++) {
            step(&tale);
            watch_rig_forget(tale.rig);
        }
        heal(&tale);
        check_beliefs(&tale);
    }
    printf("%d steps: %zu edges told, %zu cleared, %zu recalls\n", STEPS, tale.told, tale.clears,
           tale.recalls);
    assert_true(tale.told > 10000 && tale.recalls > 100);
    free(tale.believed);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {WATCH_RIG_TEST(people_believe_what_stands)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
