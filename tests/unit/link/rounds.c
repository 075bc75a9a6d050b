/* SPDX-License-Identifier: MIT */
/* Two rounds, two periods, one budget; and when what moved is due. */
#include "unit.h"

#include <stdlib.h>

#include "link/rounds.h"

enum { SECOND_US = 1000000, COUNT_MOST = 1500 };

/* Questions of a desk: the first `protecting` of `count` are for what protects. */
struct bench {
    bool protects[COUNT_MOST];
    struct layout layout;
    struct rounds *rounds;
    int64_t now_us;
};

static struct bench *
bench_of(size_t protecting, size_t count)
{
    struct bench *bench = calloc(1, sizeof *bench);

    for (size_t i = 0; i < protecting; i++)
        bench->protects[i] = true;
    bench->layout = (struct layout){.count = count, .protects = bench->protects};
    bench->rounds = rounds_new(&bench->layout);
    return bench;
}

static void
bench_drop(struct bench *bench)
{
    rounds_free(bench->rounds);
    free(bench);
}

static struct round_periods
wish(double protects_s, double rest_s)
{
    return (struct round_periods){(int64_t)(protects_s * SECOND_US), (int64_t)(rest_s * SECOND_US)};
}

/* What was asked in some time, in which each question takes so many tries. */
struct asked {
    int of[COUNT_MOST];
    int64_t last_us[COUNT_MOST], widest_us[COUNT_MOST];
    int tries;
};

static void
go_on(struct bench *bench, int64_t until_us, int tries, struct asked *asked)
{
    while (bench->now_us < until_us) {
        size_t number;

        if (!rounds_next(bench->rounds, bench->now_us, &number)) {
            bench->now_us += rounds_wait_us(bench->rounds, bench->now_us) + 1;
            continue;
        }
        for (int i = 0; i < tries; i++)
            rounds_asked(bench->rounds, bench->now_us);
        asked->tries += tries;
        if (asked->of[number]++ > 0 &&
            bench->now_us - asked->last_us[number] > asked->widest_us[number])
            asked->widest_us[number] = bench->now_us - asked->last_us[number];
        asked->last_us[number] = bench->now_us;
    }
}

/* The longest time between two times that a question was asked. */
static double
widest_s(const struct asked *asked, size_t from, size_t to)
{
    int64_t widest_us = 0;

    for (size_t i = from; i < to; i++)
        widest_us = asked->widest_us[i] > widest_us ? asked->widest_us[i] : widest_us;
    return (double)widest_us / SECOND_US;
}

static void
test_both_rounds_get_their_wish(void **state)
{
    struct bench *bench = bench_of(200, 1400);
    struct asked asked = {0};
    struct round_periods periods;

    (void)state;
    rounds_begin(bench->rounds, 120, wish(3, 60), 0);
    go_on(bench, INT64_C(300) * SECOND_US, 1, &asked);
    periods = rounds_periods(bench->rounds, bench->now_us);
    assert_near((double)periods.protects_us / SECOND_US, 3, 0.02);
    assert_near((double)periods.rest_us / SECOND_US, 60, 0.1);
    assert_near(widest_s(&asked, 0, 200), 3, 0.05);
    assert_near(widest_s(&asked, 200, 1400), 60, 0.2);
    bench_drop(bench);
}

static void
test_a_short_budget_is_shared(void **state)
{
    struct bench *bench = bench_of(200, 1400);
    struct asked asked = {0};
    struct round_periods periods;

    (void)state;
    /* wanted: 200 / 3 and 1200 / 60 a second. Three quarters of 30 go to what protects */
    rounds_begin(bench->rounds, 30, wish(3, 60), 0);
    periods = rounds_periods(bench->rounds, 0);
    assert_near((double)periods.protects_us / SECOND_US, 200 / 22.5, 0.01);
    assert_near((double)periods.rest_us / SECOND_US, 1200 / 7.5, 0.01);
    /* of 80, the rest wants 20: a quarter */
    rounds_begin(bench->rounds, 80, wish(3, 60), 0);
    periods = rounds_periods(bench->rounds, 0);
    assert_near((double)periods.protects_us / SECOND_US, 200 / 60.0, 0.01);
    assert_near((double)periods.rest_us / SECOND_US, 60, 0.01);
    go_on(bench, INT64_C(180) * SECOND_US, 1, &asked);
    assert_in_range(asked.tries, 78 * 180, 80 * 180);
    bench_drop(bench);
}

/* Losses make both longer, in proportion, and the periods say so. */
static void
test_later_tries_count(void **state)
{
    struct bench *bench = bench_of(200, 1400);
    struct asked asked = {0};
    struct round_periods periods;
    double slower = 3 * (200 / 3.0 + 1200 / 60.0) / 120;

    (void)state;
    rounds_begin(bench->rounds, 120, wish(3, 60), 0);
    go_on(bench, INT64_C(600) * SECOND_US, 3, &asked);
    periods = rounds_periods(bench->rounds, bench->now_us);
    assert_in_range(asked.tries, 117 * 600, 120 * 600);
    assert_near((double)periods.protects_us / SECOND_US, 3 * slower, 0.5);
    assert_near((double)periods.rest_us / SECOND_US, 60 * slower, 10);
    assert_true(widest_s(&asked, 0, 200) <= 2 * (double)periods.protects_us / SECOND_US);
    bench_drop(bench);
}

/* After a pause nothing is made up for but a second. */
static void
test_a_pause_is_forgiven(void **state)
{
    struct bench *bench = bench_of(200, 1400);
    struct asked asked = {0};

    (void)state;
    rounds_begin(bench->rounds, 120, wish(3, 60), 0);
    go_on(bench, SECOND_US, 1, &asked);
    bench->now_us += INT64_C(600) * SECOND_US;
    asked = (struct asked){0};
    go_on(bench, bench->now_us + INT64_C(10) * SECOND_US, 1, &asked);
    assert_in_range(asked.tries, 850, 970); /* 86.7 a second for 10 s, and for one more */
    bench_drop(bench);
}

/* While the whole desk is read, what protects is asked as often as ever, and nothing else is. */
static void
test_what_protects_goes_on_beside_a_reading(void **state)
{
    struct bench *bench = bench_of(200, 1400);
    struct asked asked = {0};
    int64_t until_us = INT64_C(30) * SECOND_US;
    size_t number;

    (void)state;
    assert_false(rounds_next_protecting(bench->rounds, 0, &number)); /* not begun */
    assert_int_equal(rounds_protecting_wait_us(bench->rounds, 0), -1);
    rounds_begin(bench->rounds, 120, wish(3, 60), 0);
    while (bench->now_us < until_us) {
        int64_t wait_us = rounds_protecting_wait_us(bench->rounds, bench->now_us);

        assert_true(wait_us >= 0);
        bench->now_us += wait_us;
        assert_true(rounds_next_protecting(bench->rounds, bench->now_us, &number));
        assert_true(number < 200);
        asked.of[number]++;
    }
    for (size_t i = 0; i < 200; i++)
        assert_in_range(asked.of[i], 9, 10 + (i == 0));
    bench_drop(bench);
    bench = bench_of(0, 10);
    rounds_begin(bench->rounds, 120, wish(3, 60), 0);
    assert_false(rounds_next_protecting(bench->rounds, until_us, &number));
    assert_int_equal(rounds_protecting_wait_us(bench->rounds, until_us), -1);
    bench_drop(bench);
}

static void
test_one_round_alone(void **state)
{
    struct bench *all = bench_of(10, 10), *none = bench_of(0, 10);
    struct asked asked = {0}, other = {0};

    (void)state;
    rounds_begin(all->rounds, 100, wish(3, 60), 0);
    go_on(all, INT64_C(30) * SECOND_US, 1, &asked);
    assert_in_range(asked.tries, 97, 101);
    assert_int_equal(rounds_periods(all->rounds, all->now_us).rest_us, 0);
    rounds_begin(none->rounds, 100, wish(3, 60), 0);
    go_on(none, INT64_C(120) * SECOND_US, 1, &other);
    assert_in_range(other.tries, 18, 21);
    assert_int_equal(rounds_periods(none->rounds, none->now_us).protects_us, 0);
    bench_drop(all);
    bench_drop(none);
}

/* ---- what moved ---- */

static void
test_a_move_is_due_when_it_has_stopped(void **state)
{
    struct bench *bench = bench_of(0, 10);
    size_t number;

    (void)state;
    assert_int_equal(rounds_moved_wait_us(bench->rounds, 0), -1);
    assert_true(rounds_moved(bench->rounds, 4, 0));
    assert_false(rounds_moved(bench->rounds, 7, 50000));
    assert_int_equal(rounds_moved_wait_us(bench->rounds, 50000), 50000);
    assert_false(rounds_moved(bench->rounds, 4, 90000));
    assert_false(rounds_next_moved(bench->rounds, 310000, &number)); /* 7 was looked at 40 ms ago */
    assert_false(rounds_next_moved(bench->rounds, 390000, &number));
    assert_true(rounds_next_moved(bench->rounds, 420000, &number));
    assert_int_equal(number, 4);
    assert_true(rounds_next_moved(bench->rounds, 500000, &number));
    assert_int_equal(number, 7);
    assert_false(rounds_next_moved(bench->rounds, SECOND_US, &number));
    assert_int_equal(rounds_moved_wait_us(bench->rounds, SECOND_US), -1);
    bench_drop(bench);
}

/* Whatever moves: asked for within 1 s of its first move, 300 ms after its last one at the soonest
 * unless that second is over, and once a second at most. */
static void
test_moves_at_random(void **state)
{
    struct bench *bench = bench_of(3, 20);
    int64_t first_us[20], last_us[20], due_us[20];
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < 20; i++)
        first_us[i] = due_us[i] = -SECOND_US;
    for (bench->now_us = 0; bench->now_us < INT64_C(120) * SECOND_US; bench->now_us += 10000) {
        size_t number;

        for (int busy = dice_below(&dice, 4); busy > 0; busy--) {
            int moved = dice_below(&dice, 1 + dice_below(&dice, 20)); /* low ones all the time */

            rounds_moved(bench->rounds, (size_t)moved, bench->now_us);
            first_us[moved] = first_us[moved] < 0 ? bench->now_us : first_us[moved];
            last_us[moved] = bench->now_us;
        }
        while (rounds_next_moved(bench->rounds, bench->now_us, &number)) {
            assert_true(first_us[number] >= 0);
            assert_true(bench->now_us - last_us[number] >= 300000 ||
                        bench->now_us - first_us[number] >= 900000);
            assert_true(bench->now_us - due_us[number] >= 300000);
            due_us[number] = bench->now_us;
            first_us[number] = -SECOND_US;
        }
        for (int i = 0; i < 20; i++)
            assert_true(first_us[i] < 0 || bench->now_us - first_us[i] < SECOND_US);
    }
    bench_drop(bench);
}

/* ---- anything ---- */

/* Whatever the numbers: never more than the budget, no round shorter than its wish, and everybody
 * is asked as often as the periods say. */
static void
test_any_desk(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int turn = 0; turn < 60; turn++) {
        size_t count = 1 + (size_t)dice_below(&dice, COUNT_MOST - 1);
        size_t protecting = (size_t)dice_below(&dice, (int)count + 1);
        double budget = dice_between(&dice, 0.5, 300), lasts_s;
        struct round_periods wished =
            wish(dice_between(&dice, 0.5, 5), dice_between(&dice, 5, 100));
        struct bench *bench = bench_of(protecting, count);
        struct asked asked = {0};
        struct round_periods planned;

        rounds_begin(bench->rounds, budget, wished, 0);
        planned = rounds_periods(bench->rounds, 0);
        if (protecting > 0)
            assert_true(planned.protects_us >= wished.protects_us - 1);
        if (protecting < count)
            assert_true(planned.rest_us >= wished.rest_us - 1);
        lasts_s = 2.5 *
                  (double)(planned.protects_us > planned.rest_us ? planned.protects_us
                                                                 : planned.rest_us) /
                  SECOND_US;
        go_on(bench, (int64_t)(lasts_s * SECOND_US), 1, &asked);
        assert_true(asked.tries <= budget * (lasts_s + 1) + 1);
        for (size_t i = 0; i < count; i++)
            assert_true(asked.of[i] >= 1);
        assert_true(widest_s(&asked, 0, protecting) <=
                    1.05 * (double)rounds_periods(bench->rounds, bench->now_us).protects_us /
                            SECOND_US +
                        2);
        bench_drop(bench);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_both_rounds_get_their_wish),
        cmocka_unit_test(test_a_short_budget_is_shared),
        cmocka_unit_test(test_later_tries_count),
        cmocka_unit_test(test_a_pause_is_forgiven),
        cmocka_unit_test(test_what_protects_goes_on_beside_a_reading),
        cmocka_unit_test(test_one_round_alone),
        cmocka_unit_test(test_a_move_is_due_when_it_has_stopped),
        cmocka_unit_test(test_moves_at_random),
        cmocka_unit_test(test_any_desk),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
