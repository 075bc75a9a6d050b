/* SPDX-License-Identifier: MIT */
/* What tells a recall from traffic, over random traffic and random recalls with a printed seed.
 *
 *   - However much harmless moves, lost protection and leaps are told within TOLD_MS of their value,
 *     and traffic alone is no recall.
 *   - A recall out of stillness, or among what hands do, is told within TOLD_MS of its first value,
 *     as one message that names what it took away of protection; what it takes away later is told
 *     within TOLD_MS, too.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "check/check.h"
#include "check/value_jumped.h"
#include "unit.h"
#include "watch_rig.h"

enum { INPUTS = 64, MIXES = 12, EARS = 4, WEDGE = 1, TOLD_MS = 1500, MINUTE_MS = 60000 };

struct traffic {
    struct watch_rig *rig;
    struct dice dice;
    int per_second;
    bool even;       /* one after the other, else at random */
    int64_t next_ms; /* of the next harmless move */
    int turn;
    struct told_first {
        int64_t at_ms[8]; /* by enum what */
    } seen;
    size_t recalls;
};

/* What the tests wait for. */
enum what { LIMITER, LEAP_EARS, LEAP_WEDGE, RECALL, SETTLED };

static void
see(struct traffic *traffic, enum what what)
{
    if (traffic->seen.at_ms[what] == 0)
        traffic->seen.at_ms[what] = traffic->rig->rig.now_ms;
}

static void
on_message(void *context, const struct message *message)
{
    struct traffic *traffic = context;

    traffic->recalls += message->cause.kind == CAUSE_RECALL;
    if (message->cause.kind == CAUSE_RECALL)
        see(traffic, RECALL);
    if (message->cause.kind == CAUSE_SETTLED)
        see(traffic, SETTLED);
    for (size_t i = 0; i < message->count; i++) {
        const struct edge *edge = &message->edges[i];
        const struct finding *finding = edge->finding;

        if (edge->kind == EDGE_CLEARED || edge->kind == EDGE_ENDS)
            continue;
        if (finding->check->number == CHECK_EARS_UNPROTECTED)
            see(traffic, LIMITER);
        if (finding->check->number == CHECK_VALUE_JUMPED)
            see(traffic, finding->verdict.weight == WEIGHT_STOP ? LEAP_EARS : LEAP_WEDGE);
    }
}

static void
start(struct traffic *traffic, void **state)
{
    struct watch_rig *rig = *state;

    watch_rig_start(rig, INPUTS, MIXES, ROOM_SHOW);
    for (int mix = 0; mix < MIXES; mix++)
        rig->rig.show->mixes[mix].feeds = mix == EARS ? FEEDS_IN_EAR : FEEDS_WEDGE;
    for (int input = 0; input < INPUTS; input++)
        for (int mix = 0; mix < MIXES; mix++)
            rig_set(&rig->rig, PARAM_SEND_LEVEL, input, mix, -20);
    watch_rig_begin(rig);
    rig->also = on_message;
    rig->also_context = traffic;
    traffic->rig = rig;
    traffic->next_ms = rig->rig.now_ms;
    watch_rig_pass(rig, 20000);
}

/* As the program does: awake at each value, and when the watcher wants to be. */
static void
set(struct traffic *traffic, enum param_id id, int row, int column, double number)
{
    rig_set(&traffic->rig->rig, id, row, column, number);
    watcher_run(traffic->rig->watcher, traffic->rig->rig.now_ms);
}

/* Of many things, and none of it says anything: input equalisers are no check's matter. */
static void
move_harmlessly(struct traffic *traffic)
{
    int turn = traffic->turn++;

    set(traffic, PARAM_INPUT_EQ_BAND_GAIN, turn % INPUTS, turn / INPUTS % 4,
        dice_between(&traffic->dice, -1, -0.1));
}

static int64_t
gap_ms(struct traffic *traffic)
{
    double mean_ms = 1000.0 / traffic->per_second;

    return traffic->even ? (int64_t)mean_ms
                         : (int64_t)(mean_ms * dice_between(&traffic->dice, 0, 2));
}

static void
pass(struct traffic *traffic, int64_t ms)
{
    struct rig *rig = &traffic->rig->rig;
    int64_t end_ms = rig->now_ms + ms;

    while (traffic->per_second > 0 && traffic->next_ms <= end_ms) {
        if (traffic->next_ms > rig->now_ms)
            watch_rig_pass(traffic->rig, traffic->next_ms - rig->now_ms);
        move_harmlessly(traffic);
        traffic->next_ms += gap_ms(traffic);
    }
    if (end_ms > rig->now_ms)
        watch_rig_pass(traffic->rig, end_ms - rig->now_ms);
    watch_rig_forget(traffic->rig);
}

static void
stop_traffic(struct traffic *traffic)
{
    traffic->per_second = 0;
    pass(traffic, 20000);
}

static void
start_traffic(struct traffic *traffic, int per_second, bool even)
{
    traffic->per_second = per_second;
    traffic->even = even;
    traffic->next_ms = traffic->rig->rig.now_ms;
}

/* Moves the value, and waits until it is told. */
static void
expect_told(struct traffic *traffic, enum what what, enum param_id id, int row, int column,
            double number)
{
    int64_t moved_ms = traffic->rig->rig.now_ms;

    memset(&traffic->seen, 0, sizeof traffic->seen);
    set(traffic, id, row, column, number);
    pass(traffic, TOLD_MS);
    if (traffic->seen.at_ms[what] == 0)
        fail_msg("at %d a second (%s) nothing was told of %d within %d ms", traffic->per_second,
                 traffic->even ? "even" : "random", (int)what, TOLD_MS);
    assert_true(traffic->seen.at_ms[what] - moved_ms <= TOLD_MS);
}

/* A limiter off and on again, a leap into ears and into a wedge, and back. */
static void
endanger(struct traffic *traffic)
{
    int input = dice_below(&traffic->dice, INPUTS);

    expect_told(traffic, LIMITER, PARAM_MIX_LIMITER_ON, EARS, 0, 0);
    set(traffic, PARAM_MIX_LIMITER_ON, EARS, 0, 1);
    pass(traffic, 15000 + dice_below(&traffic->dice, 5000));
    expect_told(traffic, LEAP_EARS, PARAM_SEND_LEVEL, input, EARS, 6);
    set(traffic, PARAM_SEND_LEVEL, input, EARS, -20);
    pass(traffic, 5000 + dice_below(&traffic->dice, 5000));
    expect_told(traffic, LEAP_WEDGE, PARAM_SEND_LEVEL, input, WEDGE, 6);
    set(traffic, PARAM_SEND_LEVEL, input, WEDGE, -20);
    pass(traffic, 5000 + dice_below(&traffic->dice, 5000));
}

static void
stop_is_told_at_any_traffic(void **state)
{
    static const int rates[] = {0, 10, 15, 20, 25, 30, 40, 60, 100, 200};
    struct traffic traffic = {.dice = dice_new()};

    start(&traffic, state);
    for (int even = 0; even < 2; even++)
        for (size_t i = 0; i < COUNT(rates); i++) {
            start_traffic(&traffic, rates[i], even);
            pass(&traffic, dice_below(&traffic.dice, 3000)); /* also while it only begins */
            endanger(&traffic);
            pass(&traffic, 2 * MINUTE_MS);
            endanger(&traffic);
            stop_traffic(&traffic);
        }
    assert_int_equal(traffic.recalls, 0);
}

/* What hands do: here and there, in bunches, faster and slower, for half an hour. */
static void
waxing_and_waning_traffic_is_no_recall(void **state)
{
    struct traffic traffic = {.dice = dice_new()};

    start(&traffic, state);
    for (int i = 0; i < 200; i++) {
        start_traffic(&traffic, 1 + dice_below(&traffic.dice, 200), dice_below(&traffic.dice, 2));
        pass(&traffic, 2500 + dice_below(&traffic.dice, 8000)); /* longer than a recall takes */
        traffic.per_second = 0;
        pass(&traffic, dice_below(&traffic.dice, 2) * dice_below(&traffic.dice, 4000));
        if (i % 5 == 0)
            endanger(&traffic);
    }
    assert_int_equal(traffic.recalls, 0);
}

/* So many values within so many ms, the limiter off somewhere among them. Each is another than in all
 * the turns before: where few of them were, it would be over before the limiter comes. */
static void
recall(struct traffic *traffic, int values, int64_t within_ms, int turn)
{
    int64_t begun_ms = traffic->rig->rig.now_ms;
    int limiter = dice_below(&traffic->dice, values);

    memset(&traffic->seen, 0, sizeof traffic->seen);
    traffic->recalls = 0;
    for (int i = 0; i < values; i++) {
        int64_t at_ms = begun_ms + within_ms * i / values;

        if (at_ms > traffic->rig->rig.now_ms)
            pass(traffic, at_ms - traffic->rig->rig.now_ms);
        set(traffic, PARAM_SEND_LEVEL, i % INPUTS, i / INPUTS % MIXES, -21 - 0.1 * turn);
        if (i == limiter)
            set(traffic, PARAM_MIX_LIMITER_ON, EARS, 0, 0);
    }
    pass(traffic, TOLD_MS - (traffic->rig->rig.now_ms - begun_ms));
    if (traffic->recalls != 1)
        fail_msg("%d values within %d ms, beside %d a second: %zu recalls told in time", values,
                 (int)within_ms, traffic->per_second, traffic->recalls);
    assert_true(traffic->seen.at_ms[LIMITER] > 0 &&
                traffic->seen.at_ms[LIMITER] <= traffic->seen.at_ms[RECALL]);
}

static void
a_recall_is_told_at_once(void **state)
{
    struct traffic traffic = {.dice = dice_new()};

    start(&traffic, state);
    for (int turn = 0; turn < 100; turn++) {
        int rate = turn % 5 * 2;

        start_traffic(&traffic, rate, false);
        pass(&traffic, 10000);
        recall(&traffic, 25 + 2 * rate + dice_below(&traffic.dice, 400),
               dice_below(&traffic.dice, 500), turn);
        set(&traffic, PARAM_MIX_LIMITER_ON, EARS, 0, 1);
        pass(&traffic, 30000);
        assert_int_equal(traffic.recalls, 1);
        assert_true(watcher_is_calm(traffic.rig->watcher));
    }
}

/* Among what hands do it has to be so many more. */
static void
a_recall_among_traffic(void **state)
{
    static const int rates[] = {25, 40, 100};
    struct traffic traffic = {.dice = dice_new()};

    start(&traffic, state);
    for (int turn = 0; turn < 60; turn++) {
        int rate = rates[turn % 3];

        start_traffic(&traffic, rate, turn % 2);
        pass(&traffic, 10000);
        recall(&traffic, 60 + 2 * rate + dice_below(&traffic.dice, 100),
               dice_below(&traffic.dice, 300), turn);
        set(&traffic, PARAM_MIX_LIMITER_ON, EARS, 0, 1);
        pass(&traffic, 30000);
        assert_int_equal(traffic.recalls, 1);
        assert_true(watcher_is_calm(traffic.rig->watcher));
    }
}

/* Traffic that is over does not hide one, and neither does the recall before. */
static void
a_recall_behind_traffic(void **state)
{
    struct traffic traffic = {.dice = dice_new()};

    start(&traffic, state);
    for (int turn = 0; turn < 40; turn++) {
        start_traffic(&traffic, 200, turn % 2);
        pass(&traffic, 5000);
        traffic.per_second = 0;
        pass(&traffic, 3000);
        recall(&traffic, 40 + dice_below(&traffic.dice, 100), dice_below(&traffic.dice, 300),
               2 * turn);
        set(&traffic, PARAM_MIX_LIMITER_ON, EARS, 0, 1);
        pass(&traffic, 4000);
        recall(&traffic, 40 + dice_below(&traffic.dice, 100), dice_below(&traffic.dice, 300),
               2 * turn + 1);
        set(&traffic, PARAM_MIX_LIMITER_ON, EARS, 0, 1);
        pass(&traffic, 20000);
    }
}

/* One scene after the other without a pause, for minutes. */
static void
protection_lost_in_one_recall_after_the_other(void **state)
{
    struct traffic traffic = {.dice = dice_new()};

    start(&traffic, state);
    for (int turn = 0; turn < 60; turn++) {
        bool lost = turn % 12 == 5;
        int64_t begun_ms = traffic.rig->rig.now_ms;

        memset(&traffic.seen, 0, sizeof traffic.seen);
        for (int i = 0; i < 100; i++)
            set(&traffic, PARAM_SEND_LEVEL, i % INPUTS, i % MIXES, -21 - turn % 2);
        if (lost)
            set(&traffic, PARAM_MIX_LIMITER_ON, EARS, 0, 0);
        pass(&traffic, TOLD_MS);
        assert_row("turn", turn * 10 + (traffic.seen.at_ms[LIMITER] > 0), turn * 10 + lost);
        assert_true(!lost || traffic.seen.at_ms[LIMITER] - begun_ms <= TOLD_MS);
        if (turn % 12 == 6)
            set(&traffic, PARAM_MIX_LIMITER_ON, EARS, 0, 1);
    }
}

/* With another scene's name few values are enough, and traffic hides nothing. */
static void
a_scene_is_a_recall(void **state)
{
    struct traffic traffic = {.dice = dice_new()};

    start(&traffic, state);
    for (int i = 0; i < 3; i++) {
        char name[20];

        start_traffic(&traffic, i * 20, true);
        pass(&traffic, 10000);
        traffic.recalls = 0;
        snprintf(name, sizeof name, "Song %d", i);
        rig_set_text(&traffic.rig->rig, PARAM_DESK_SCENE, 0, name);
        for (int input = 0; input < 5; input++)
            set(&traffic, PARAM_SEND_LEVEL, input, 0, -22 - i);
        pass(&traffic, TOLD_MS);
        assert_int_equal(traffic.recalls, 1);
        pass(&traffic, 30000);
    }
}

/* Many settings that glide come to rest in their own time. */
static void
more_than_is_remembered_is_all_counted(void **state)
{
    struct traffic traffic = {.dice = dice_new()};
    struct rig *rig;

    start(&traffic, state);
    rig = &traffic.rig->rig;
    for (int input = 0; input < INPUTS; input++) /* in one packet, so nobody looks in between */
        for (int mix = 0; mix < MIXES; mix++)
            rig_set(rig, PARAM_SEND_LEVEL, input, mix, -25);
    assert_true(INPUTS * MIXES > MOVES_KEPT);
    watch_rig_pass(traffic.rig, 1);
    for (int input = 0; input < INPUTS; input++)
        for (int mix = 0; mix < MIXES; mix++)
            assert_near(value_number(desk_value(moves_before(engine_moves(rig->engine)),
                                                PARAM_SEND_LEVEL, input, mix)),
                        -20, 1e-9);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        WATCH_RIG_TEST(stop_is_told_at_any_traffic),
        WATCH_RIG_TEST(waxing_and_waning_traffic_is_no_recall),
        WATCH_RIG_TEST(a_recall_is_told_at_once),
        WATCH_RIG_TEST(a_recall_among_traffic),
        WATCH_RIG_TEST(a_recall_behind_traffic),
        WATCH_RIG_TEST(protection_lost_in_one_recall_after_the_other),
        WATCH_RIG_TEST(a_scene_is_a_recall),
        WATCH_RIG_TEST(more_than_is_remembered_is_all_counted),
    };

    return cmocka_run_group_tests_name("traffic", tests, NULL, NULL);
}
