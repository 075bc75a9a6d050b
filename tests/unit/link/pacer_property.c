/* SPDX-License-Identifier: MIT */
/* The pacer against a desk that serves one question after the other, for a minute, and against
 * anything at all. Times are microseconds.
 */
#include "unit.h"

#include <math.h>

#include "link/pacer.h"

/* pacer.h tells the last two. */
enum { WINDOW_LEAST = 6, QUEUE_LEAST = 4, QUEUE_MOST = 8 };

static const struct pacer_limits wide = {4096, 1e6, 100000000};

static struct pacer
fresh(struct pacer_limits limits)
{
    struct pacer pacer;

    pacer_init(&pacer, limits, 0);
    return pacer;
}

/* A desk that serves one question after the other, and the questions on their way to and from it.
 */
struct line {
    double service_us, away_us, free_us;
    double back_us[8192]; /* answers come in this order */
    size_t first, last;
    double now_us;
};

static void
ask(struct line *line)
{
    line->free_us = fmax(line->free_us, line->now_us + line->away_us) + line->service_us;
    line->back_us[line->last++ % COUNT(line->back_us)] = line->free_us + line->away_us;
}

/* How many stand in line at the desk when a question arrives now. */
static double
standing(const struct line *line)
{
    return fmax(0, line->free_us - line->now_us - line->away_us) / line->service_us;
}

/* Asks until so many answers came; the mean and the most that stood in line when they did. */
static void
ask_many(struct line *line, struct pacer *pacer, int count, double *mean, double *most)
{
    double total = 0;
    static double sent_us[COUNT(((struct line *)0)->back_us)];

    *most = 0;
    for (int heard = 0; heard < count;) {
        size_t first = line->first % COUNT(line->back_us);
        int64_t wait_us =
            pacer_wait_us(pacer, (int)(line->last - line->first), (int64_t)line->now_us);
        bool waits = line->first < line->last;

        assert_true(wait_us >= 0 || waits);
        if (wait_us == 0) {
            pacer_sent(pacer);
            sent_us[line->last % COUNT(line->back_us)] = line->now_us;
            ask(line);
        } else if (waits &&
                   (wait_us < 0 || line->back_us[first] <= line->now_us + (double)wait_us)) {
            line->now_us = fmax(line->now_us, line->back_us[first]);
            pacer_answered(pacer, (int64_t)(line->now_us - sent_us[first]), (int64_t)line->now_us);
            line->first++;
            heard++;
            total += standing(line);
            *most = fmax(*most, standing(line));
        } else {
            line->now_us += (double)wait_us;
        }
    }
    *mean = total / count;
}

/* A minute of asking, so that nothing drifts: the line that stands is never taken for the way. */
static void
queue_is_held_between_four_and_eight(void **state)
{
    static const struct {
        const char *name;
        double per_second, away_us;
    } rows[] = {
        {"slow", 500, 100},
        {"usual", 2000, 500},
        {"fast", 20000, 200},
        {"fast and far", 20000, 5000},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct pacer pacer = fresh(wide);
        static struct line line;
        double mean, most;

        line = (struct line){.service_us = 1e6 / rows[i].per_second, .away_us = rows[i].away_us};
        ask_many(&line, &pacer, (int)rows[i].per_second, &mean, &most); /* it settles */
        print_message("%s: at most %g stood in line at first\n", rows[i].name, most);
        for (int second = 0; second < 60; second++) {
            ask_many(&line, &pacer, (int)rows[i].per_second, &mean, &most);
            assert_near_in(rows[i].name, mean, (QUEUE_LEAST + QUEUE_MOST) / 2.0, 2.5);
            assert_true(most <= QUEUE_MOST + 1);
        }
        /* and the desk was never idle */
        assert_near_in(rows[i].name, line.now_us / 1e6, 61, 0.2);
    }
}

/* A desk that grows slower has its line held all the same. */
static void
queue_follows_the_desk(void **state)
{
    struct pacer pacer = fresh(wide);
    static struct line line;
    double mean, most;

    (void)state;
    line = (struct line){.service_us = 100, .away_us = 2000};
    ask_many(&line, &pacer, 20000, &mean, &most);
    for (int i = 0; i < 3; i++) {
        line.service_us *= 2;
        ask_many(&line, &pacer, 10000, &mean, &most);
        ask_many(&line, &pacer, 1000, &mean, &most);
        assert_near(mean, (QUEUE_LEAST + QUEUE_MOST) / 2.0, 2.5);
    }
}

/* ---- properties ---- */

static void
random_event(struct pacer *pacer, struct dice *dice, int64_t now_us)
{
    double took_us = exp(dice_between(dice, 0, 15));

    switch (dice_below(dice, 12)) {
    case 0:
        pacer_lost(pacer);
        break;
    case 1:
        pacer_late(pacer, (int64_t)took_us);
        break;
    case 2:
        pacer_answered(pacer, -1, now_us);
        break;
    case 3:
        if (dice_below(dice, 10) == 0)
            pacer_stalled(pacer);
        break;
    default:
        pacer_answered(pacer, dice_below(dice, 3) == 0 ? (int64_t)took_us : 500, now_us);
        break;
    }
}

static void
bounds_hold(const struct pacer *pacer)
{
    double within_us = (double)pacer->limits.within_us;

    assert_true(pacer->window <= pacer->limits.in_flight);
    assert_true(pacer->window >= fmin(WINDOW_LEAST, pacer->limits.in_flight));
    for (int tries = 1; tries < 12; tries++) {
        int64_t timeout_us = pacer_timeout_us(pacer, tries);

        assert_true((double)timeout_us >= fmin(within_us, 50000));
        assert_true((double)timeout_us <= within_us);
        assert_true(timeout_us <= pacer_timeout_us(pacer, tries + 1));
    }
    if (pacer->sampled)
        assert_true((double)pacer_passed_us(pacer) >= floor(pacer->smoothed_us * 1.25));
}

/* Whatever happens: never more under way than in_flight, no second sees more than per_second leave,
 * and who sleeps as long as told may send. */
static void
limits_are_never_passed(void **state)
{
    enum { SENDS = 3000 };
    static int64_t sent_us[SENDS];
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 40; round++) {
        struct pacer_limits limits = {1 + dice_below(&dice, 200),
                                      floor(exp(dice_between(&dice, 0, 9))),
                                      1000 + dice_below(&dice, 1000000)};
        struct pacer pacer = fresh(limits);
        int64_t now_us = 0;
        int under_way = 0, sent = 0, most = (int)limits.per_second;

        while (sent < SENDS) {
            int64_t wait_us = pacer_wait_us(&pacer, under_way, now_us);

            assert_true(wait_us >= -1 && (under_way < limits.in_flight || wait_us == -1));
            if (wait_us == 0) {
                pacer_sent(&pacer);
                under_way++;
                sent_us[sent++] = now_us;
                if (sent > most)
                    assert_true(now_us - sent_us[sent - 1 - most] >= 1000000);
            } else if (wait_us > 0 && dice_below(&dice, 2) == 0) {
                now_us += wait_us;
                assert_true(pacer_wait_us(&pacer, under_way, now_us) <= 1);
            } else {
                now_us += dice_below(&dice, 1000);
                random_event(&pacer, &dice, now_us);
                under_way -= under_way > 0;
            }
            bounds_hold(&pacer);
        }
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(queue_is_held_between_four_and_eight),
        cmocka_unit_test(queue_follows_the_desk),
        cmocka_unit_test(limits_are_never_passed),
    };

    return cmocka_run_group_tests_name("pacer_property", tests, NULL, NULL);
}
