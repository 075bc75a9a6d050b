/* SPDX-License-Identifier: MIT */
/* A desk that comes and goes, on a clock that stands. */
#include "watch/flapping.h"
#include "loop/stand.h"
#include "unit.h"

enum { MINUTE_MS = 60 * 1000 };

struct flapping_test {
    struct stand *stand;
    struct loop *loop;
    struct flapping *flapping;
    int over; /* how often it was called */
};

static void
on_over(void *context)
{
    struct flapping_test *test = context;

    test->over++;
}

static void
open_test(struct flapping_test *test)
{
    *test = (struct flapping_test){.stand = stand_new()};
    test->loop = loop_new_standing(test->stand);
    assert_non_null(test->loop);
    test->flapping = flapping_new(test->loop, on_over, test);
}

static void
close_test(struct flapping_test *test)
{
    flapping_free(test->flapping);
    loop_free(test->loop);
    stand_free(test->stand);
}

static void
pass(struct flapping_test *test, int64_t ms)
{
    int64_t now_ms = stand_now_ms(test->stand) + ms;

    while (stand_next_ms(test->stand) <= now_ms) {
        stand_move(test->stand, stand_next_ms(test->stand), stand_next_ms(test->stand));
        stand_fire(test->stand);
    }
    stand_move(test->stand, now_ms, now_ms);
}

static void
three_losses_in_ten_minutes_are_a_story(void **state)
{
    struct flapping_test test;
    int64_t within_ms = 0;

    (void)state;
    open_test(&test);
    assert_int_equal(flapping_lost(test.flapping, true, &within_ms), FLAPPING_NOT);
    pass(&test, 4 * MINUTE_MS);
    assert_int_equal(flapping_lost(test.flapping, true, &within_ms), FLAPPING_NOT);
    pass(&test, 6 * MINUTE_MS);
    assert_int_equal(flapping_lost(test.flapping, true, &within_ms), FLAPPING_BEGINS);
    assert_int_equal(within_ms, 10 * MINUTE_MS);
    assert_true(flapping_is_on(test.flapping));
    pass(&test, 1000);
    assert_int_equal(flapping_lost_for_ms(test.flapping), 1000);
    assert_int_equal(flapping_lost(test.flapping, true, &within_ms), FLAPPING_ALREADY);
    close_test(&test);
}

static void
what_lies_further_apart_is_none(void **state)
{
    struct flapping_test test;
    int64_t within_ms;

    (void)state;
    open_test(&test);
    for (int i = 0; i < 20; i++) {
        assert_int_equal(flapping_lost(test.flapping, true, &within_ms), FLAPPING_NOT);
        pass(&test, 5 * MINUTE_MS + 1);
    }
    close_test(&test);
}

/* A desk that was never read has not gone. */
static void
none_begins_before_the_desk_was_there(void **state)
{
    struct flapping_test test;
    int64_t within_ms;

    (void)state;
    open_test(&test);
    for (int i = 0; i < 5; i++)
        assert_int_equal(flapping_lost(test.flapping, false, &within_ms), FLAPPING_NOT);
    assert_int_equal(flapping_lost(test.flapping, true, &within_ms), FLAPPING_BEGINS);
    close_test(&test);
}

/* Each change of the link begins the minute anew; then losses are counted from none. */
static void
it_is_over_after_a_minute(void **state)
{
    struct flapping_test test;
    int64_t within_ms;

    (void)state;
    open_test(&test);
    flapping_wait(test.flapping); /* for nothing */
    pass(&test, 2 * MINUTE_MS);
    assert_int_equal(test.over, 0);
    assert_false(flapping_end(test.flapping));
    for (int i = 0; i < 3; i++)
        flapping_lost(test.flapping, true, &within_ms);
    flapping_wait(test.flapping);
    pass(&test, MINUTE_MS - 1);
    flapping_wait(test.flapping);
    pass(&test, MINUTE_MS - 1);
    assert_int_equal(test.over, 0);
    pass(&test, 1);
    assert_int_equal(test.over, 1);
    assert_true(flapping_end(test.flapping));
    assert_int_equal(flapping_lost(test.flapping, true, &within_ms), FLAPPING_NOT);
    assert_int_equal(flapping_lost(test.flapping, true, &within_ms), FLAPPING_NOT);
    assert_int_equal(flapping_lost(test.flapping, true, &within_ms), FLAPPING_BEGINS);
    close_test(&test);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_losses_in_ten_minutes_are_a_story),
        cmocka_unit_test(what_lies_further_apart_is_none),
        cmocka_unit_test(none_begins_before_the_desk_was_there),
        cmocka_unit_test(it_is_over_after_a_minute),
    };

    return cmocka_run_group_tests_name("flapping", tests, NULL, NULL);
}
