/* SPDX-License-Identifier: MIT */
/* A clock that stands, and its timers: order, repetition, and timers that end within a call. */
#include "loop/stand.h"

#include <stddef.h>

#include "loop/loop.h"
#include "unit.h"

struct bell {
    struct stand *stand;
    struct loop_timer *timer;
    int rung;
    int64_t at_ms;
    char name, *order; /* order: names as they ring */
};

static void
ring(void *context)
{
    struct bell *bell = context;

    bell->rung++;
    bell->at_ms = stand_now_ms(bell->stand);
    if (bell->order) {
        *bell->order++ = bell->name;
        *bell->order = '\0';
    }
}

static void
fire_until(struct stand *stand, int64_t until_ms)
{
    while (stand_next_ms(stand) <= until_ms) {
        stand_move(stand, stand_next_ms(stand), 0);
        stand_fire(stand);
    }
    stand_move(stand, until_ms, until_ms);
}

static void
test_timers_fire_at_their_time_and_repeat(void **unused)
{
    struct stand *stand = stand_new();
    struct loop *loop = loop_new_standing(stand);
    struct bell once = {.stand = stand}, often = {.stand = stand};

    (void)unused;
    once.timer = loop_timer_open(loop, ring, &once);
    often.timer = loop_timer_open(loop, ring, &often);
    assert_true(stand_next_ms(stand) == INT64_MAX);
    loop_timer_start(once.timer, 250, 0);
    loop_timer_start(often.timer, 100, 60);
    fire_until(stand, 240);
    assert_int_equal(once.rung, 0);
    assert_int_equal(often.rung, 3);
    assert_int_equal(often.at_ms, 220);
    fire_until(stand, 1000);
    assert_int_equal(once.rung, 1);
    assert_int_equal(once.at_ms, 250);
    assert_int_equal(often.rung, 16);
    assert_int_equal(stand_now_ms(stand), 1000);
    loop_timer_stop(often.timer);
    assert_true(stand_next_ms(stand) == INT64_MAX);
    loop_timer_close(once.timer);
    loop_timer_close(often.timer);
    loop_free(loop);
    stand_free(stand);
}

static void
test_what_is_due_at_one_time_goes_in_the_order_it_was_started(void **unused)
{
    struct stand *stand = stand_new();
    struct loop *loop = loop_new_standing(stand);
    char order[8] = "";
    struct bell bells[3];

    (void)unused;
    for (int i = 0; i < 3; i++) {
        bells[i] = (struct bell){.stand = stand, .name = (char)('a' + i)};
        bells[i].timer = loop_timer_open(loop, ring, &bells[i]);
    }
    loop_timer_start(bells[1].timer, 10, 0);
    loop_timer_start(bells[2].timer, 10, 0);
    loop_timer_start(bells[0].timer, 10, 0);
    for (size_t used = 0; stand_next_ms(stand) <= 10; used++) {
        for (int i = 0; i < 3; i++)
            bells[i].order = order + used;
        stand_move(stand, 10, 10);
        stand_fire(stand);
    }
    assert_string_equal(order, "bca");
    for (int i = 0; i < 3; i++)
        loop_timer_close(bells[i].timer);
    loop_free(loop);
    stand_free(stand);
}

static void
close_itself(void *context)
{
    struct bell *bell = context;

    bell->rung++;
    loop_timer_close(bell->timer);
}

static void
test_a_timer_may_close_itself(void **unused)
{
    struct stand *stand = stand_new();
    struct loop *loop = loop_new_standing(stand);
    struct bell bell = {.stand = stand};

    (void)unused;
    bell.timer = loop_timer_open(loop, close_itself, &bell);
    loop_timer_start(bell.timer, 5, 5);
    fire_until(stand, 100);
    assert_int_equal(bell.rung, 1);
    loop_free(loop);
    stand_free(stand);
}

static void
test_the_clock_never_goes_back(void **unused)
{
    struct stand *stand = stand_new();
    struct loop *loop = loop_new_standing(stand);

    (void)unused;
    stand_move(stand, 100, 90);
    stand_move(stand, 50, 40);
    assert_int_equal(stand_now_ms(stand), 100);
    assert_int_equal(loop_woke_ms(loop), 40);
    loop_free(loop);
    stand_free(stand);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_timers_fire_at_their_time_and_repeat),
        cmocka_unit_test(test_what_is_due_at_one_time_goes_in_the_order_it_was_started),
        cmocka_unit_test(test_a_timer_may_close_itself),
        cmocka_unit_test(test_the_clock_never_goes_back),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
