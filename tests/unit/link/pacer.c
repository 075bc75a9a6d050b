/* SPDX-License-Identifier: MIT */
/* How fast a desk may be asked: round trips as RFC 6298 counts them, limits that nothing passes,
 * and a window that watches the desk's queue. Times are microseconds.
 */
#include "unit.h"

#include <math.h>
#include <stdio.h>

#include "link/pacer.h"

enum { WINDOW_LEAST = 6 };

static const struct pacer_limits wide = {4096, 1e6, 100000000};

static struct pacer
fresh(struct pacer_limits limits)
{
    struct pacer pacer;

    pacer_init(&pacer, limits, 0);
    return pacer;
}

/* One that holds its window and begins a round. */
static struct pacer
holding(double window)
{
    struct pacer pacer = fresh(wide);

    pacer.window = window;
    pacer.growing = false;
    return pacer;
}

static void
answers(struct pacer *pacer, int count, int64_t took_us)
{
    for (int i = 0; i < count; i++)
        pacer_answered(pacer, took_us, 0);
}

/* Outcomes without round trips. */
static void
outcomes(struct pacer *pacer, int answered, int lost)
{
    for (int i = 0; i < lost; i++)
        pacer_lost(pacer);
    answers(pacer, answered, -1);
}

/* ---- round trips ---- */

/* RFC 6298, V. Paxson and others, June 2011, section 2, worked by hand.
 * (2.2) first sample R: SRTT = R, RTTVAR = R/2, RTO = SRTT + max(G, 4 RTTVAR).
 * (2.3) each further one R': RTTVAR = 3/4 RTTVAR + 1/4 |SRTT - R'|, with the SRTT before it; then
 * SRTT = 7/8 SRTT + 1/8 R'. */
static void
round_trips_are_smoothed_as_the_rfc_says(void **state)
{
    static const struct {
        int64_t took_us;
        double smoothed_us, varied_us;
        int64_t timeout_us;
    } rows[] = {
        {100000, 100000, 50000, 300000}, /* 100000 + 4 * 50000 */
        {60000, 95000, 47500, 285000},   /* 37500 + 40000 / 4; 87500 + 7500 */
        {135000, 100000, 45625, 282500}, /* 35625 + 40000 / 4; 83125 + 16875 */
        {100000, 100000, 34218.75, 236875},
    };
    struct pacer pacer = fresh(wide);

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        answers(&pacer, 1, rows[i].took_us);
        assert_near(pacer.smoothed_us, rows[i].smoothed_us, 1e-6);
        assert_near(pacer.varied_us, rows[i].varied_us, 1e-6);
        assert_int_equal(pacer_timeout_us(&pacer, 1), rows[i].timeout_us);
    }
}

/* Where an answer may belong to another try nothing is learnt of its time (RFC 6298, section 3). */
static void
answers_of_unknown_tries_are_no_samples(void **state)
{
    struct pacer pacer = fresh(wide);

    (void)state;
    answers(&pacer, 1, -1);
    assert_false(pacer.sampled);
    assert_near(pacer.window, 6, 0);
    answers(&pacer, 1, 100000);
    answers(&pacer, 1, -1);
    assert_near(pacer.smoothed_us, 100000, 0);
    assert_near(pacer.varied_us, 50000, 0);
}

static void
timeouts_double_within_their_bounds(void **state)
{
    struct pacer pacer = fresh(wide);

    (void)state;
    for (int tries = 1; tries <= 8; tries++) /* nothing is known yet: a tenth of a second */
        assert_int_equal(pacer_timeout_us(&pacer, tries), 100000 << (tries - 1));
    assert_int_equal(pacer_timeout_us(&pacer, 9), 12800000);
    assert_int_equal(pacer_timeout_us(&pacer, 20), 12800000);
    answers(&pacer, 1, 100000);
    for (int tries = 1; tries <= 8; tries++)
        assert_int_equal(pacer_timeout_us(&pacer, tries), INT64_C(300000) << (tries - 1));
    /* never above the profile's answer_within_ms */
    pacer.limits.within_us = 1000000;
    assert_int_equal(pacer_timeout_us(&pacer, 1), 300000);
    assert_int_equal(pacer_timeout_us(&pacer, 2), 600000);
    assert_int_equal(pacer_timeout_us(&pacer, 3), 1000000);
    assert_int_equal(pacer_timeout_us(&pacer, 20), 1000000);
    /* a desk that is never late: 10 ms are granted, and 50 ms in any case */
    answers(&pacer, 500, 45000);
    assert_int_equal(pacer_timeout_us(&pacer, 1), 55000);
    answers(&pacer, 500, 200);
    assert_int_equal(pacer_timeout_us(&pacer, 1), 50000);
    pacer.limits.within_us = 20000;
    assert_int_equal(pacer_timeout_us(&pacer, 1), 20000);
}

/* It is odd when nothing came for twice the round trip, or longer where round trips vary. */
static void
overdue_follows_the_round_trip(void **state)
{
    struct pacer pacer = fresh(wide);

    (void)state;
    answers(&pacer, 1, 100000);
    assert_int_equal(pacer_overdue_us(&pacer), 301000); /* 100000 + 4 * 50000, and 1 ms */
    answers(&pacer, 500, 100000);
    assert_int_equal(pacer_overdue_us(&pacer), 201000);
}

static void
late_answers_widen_the_allowance(void **state)
{
    struct pacer pacer = fresh(wide);
    int64_t before_us;

    (void)state;
    answers(&pacer, 500, 1000);
    assert_int_equal(pacer_passed_us(&pacer), 1250);
    pacer_late(&pacer, 9000); /* 8000 too late, and a quarter of that */
    assert_int_equal(pacer_passed_us(&pacer), 11000);
    pacer_late(&pacer, 3000); /* less late: nothing new */
    assert_int_equal(pacer_passed_us(&pacer), 11000);
    pacer_late(&pacer, 500); /* not late at all */
    assert_int_equal(pacer_passed_us(&pacer), 11000);
    for (int i = 0; i < 100; i++) {
        before_us = pacer_passed_us(&pacer);
        answers(&pacer, 1, 1000);
        assert_true(pacer_passed_us(&pacer) < before_us);
    }
    answers(&pacer, 100, 1000);
    assert_int_equal(pacer_passed_us(&pacer), 1250);
    pacer_late(&pacer, INT64_C(1000000000)); /* never more than the longest wait */
    assert_int_equal(pacer_passed_us(&pacer), 1000 + wide.within_us);
}

/* ---- leaving ---- */

static int
leave_at_once(struct pacer *pacer, int under_way, int64_t now_us)
{
    int left = 0;

    while (pacer_wait_us(pacer, under_way + left, now_us) == 0 && left < 5000) {
        pacer_sent(pacer);
        left++;
    }
    return left;
}

static void
first_questions_fill_the_first_window(void **state)
{
    struct pacer pacer = fresh(wide), narrow = fresh((struct pacer_limits){3, 1e6, 1000000});

    (void)state;
    assert_int_equal(leave_at_once(&pacer, 0, 0), 6);
    assert_int_equal(pacer_wait_us(&pacer, 6, 0), -1);
    assert_int_equal(pacer_wait_us(&pacer, 6, 1000000000), -1);
    assert_int_equal(pacer_wait_us(&pacer, 5, 0), 0);
    assert_int_equal(leave_at_once(&narrow, 0, 0), 3);
    assert_int_equal(pacer_wait_us(&narrow, 3, 0), -1);
}

/* By the window's own pace: 20 questions in 100 ms, a quarter faster, are one each 4 ms; six may
 * have been saved up. A fast one saves up what it sends in 2 ms. */
static void
questions_leave_spaced(void **state)
{
    struct pacer pacer = fresh(wide);

    (void)state;
    answers(&pacer, 14, 100000);
    assert_near(pacer.window, 20, 0);
    assert_int_equal(leave_at_once(&pacer, 0, 1000000), 6);
    assert_int_equal(pacer_wait_us(&pacer, 6, 1000000), 4000);
    assert_int_equal(pacer_wait_us(&pacer, 6, 1003000), 1000);
    assert_int_equal(leave_at_once(&pacer, 6, 1004000), 1);
    assert_int_equal(leave_at_once(&pacer, 7, 1012000), 2);
    pacer = fresh(wide);
    answers(&pacer, 194, 10000); /* 200 in 10 ms: 25 a millisecond */
    assert_int_equal(leave_at_once(&pacer, 0, 1000000), 50);
}

static void
a_hundredth_of_a_second_may_leave_at_once(void **state)
{
    struct pacer pacer = fresh((struct pacer_limits){4096, 1000, 1000000});

    (void)state;
    answers(&pacer, 1000, 100);
    assert_int_equal(leave_at_once(&pacer, 0, 1000000), 10);
    assert_int_equal(pacer_wait_us(&pacer, 10, 1000000), 1011); /* 990 a second behind it */
    assert_int_equal(leave_at_once(&pacer, 10, 1001011), 1);
    assert_int_equal(leave_at_once(&pacer, 11, 1000000000), 10);
}

/* ---- the window ---- */

static void
window_grows_by_one_for_each_answer(void **state)
{
    struct pacer pacer = fresh((struct pacer_limits){300, 1e6, 1000000});

    (void)state;
    for (int i = 1; i <= 1000; i++) {
        answers(&pacer, 1, 1000);
        assert_near(pacer.window, fmin(6 + i, 300), 0);
        assert_true(pacer.growing);
    }
}

/* Of w questions w * (1 - lowest / present) stand in line. At 1.3 times the lowest that is 7.85 of
 * 34 and 8.08 of 35; the present one is the least of the last four. */
static void
window_grows_until_the_queue_passes_eight(void **state)
{
    struct pacer pacer = fresh(wide);

    (void)state;
    answers(&pacer, 20, 1000);
    assert_near(pacer.window, 26, 0);
    answers(&pacer, 9, 1300);
    assert_near(pacer.window, 35, 0);
    assert_true(pacer.growing);
    answers(&pacer, 1, 1300);
    assert_false(pacer.growing);
    assert_near(pacer.window, 35, 0);
    pacer = fresh(wide);
    answers(&pacer, 20, 1000);
    answers(&pacer, 3, 2000); /* one of the last four was quick: no queue stands */
    assert_near(pacer.window, 29, 0);
    answers(&pacer, 1, 2000);
    assert_false(pacer.growing);
    assert_near(pacer.window, 29, 0);
}

/* ---- losses ---- */

/* Of a round of outcomes, as many as the window holds and 32 at the least: four lost ones, and more
 * than a twentieth above the usual and chance, cut the window to 0.7 of it. */
static void
losses_cut_the_window(void **state)
{
    static const struct {
        double window;
        int answered, lost;
        double after;
    } rows[] = {
        {100, 80, 20, 70}, {100, 94, 6, 70}, {100, 95, 5, 100},   {100, 100, 0, 100},
        {32, 28, 4, 22.4}, {32, 29, 3, 32},  {200, 160, 40, 140}, {8, 28, 4, 6},
        {6, 28, 4, 6},     {6, 0, 32, 6},    {100, 80, 19, 100}, /* the round has not ended */
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct pacer pacer = holding(rows[i].window);
        char what[60];

        snprintf(what, sizeof what, "%g, %d lost", rows[i].window, rows[i].lost);
        outcomes(&pacer, rows[i].answered, rows[i].lost);
        assert_near_in(what, pacer.window, rows[i].after, 1e-9);
    }
}

/* A cut that left more than half of the losses cured nothing: they are the network's, and usual
 * from now on. */
static void
losses_that_stay_are_usual(void **state)
{
    struct pacer pacer = holding(100);

    (void)state;
    outcomes(&pacer, 80, 20);
    assert_near(pacer.window, 70, 1e-9);
    assert_false(pacer.growing);
    outcomes(&pacer, 56, 14);
    assert_near(pacer.window, 70, 1e-9);
    assert_true(pacer.growing);
    for (int i = 0; i < 20; i++) {
        outcomes(&pacer, 56, 14);
        assert_near(pacer.window, 70, 1e-9);
    }
    /* of 70, 16.7 in a hundred with chance 2 * sqrt(0.2 * 0.8 / 70): up to 34 in a hundred */
    outcomes(&pacer, 47, 23);
    assert_near(pacer.window, 70, 1e-9);
    outcomes(&pacer, 40, 30);
    assert_near(pacer.window, 49, 1e-9);
}

/* One that left half or less cured; what comes after is cut anew. */
static void
losses_that_a_cut_cures_are_cut_again(void **state)
{
    static const struct {
        int lost;
        double after;
    } rows[] = {{7, 49}, {8, 70}, {0, 70}};

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct pacer pacer = holding(100);

        outcomes(&pacer, 80, 20);
        outcomes(&pacer, 70 - rows[i].lost, rows[i].lost);
        assert_near(pacer.window, rows[i].after, 1e-9);
        assert_int_equal(pacer.growing, rows[i].lost == 8);
    }
    for (int i = 0; i < 3; i++) {
        struct pacer pacer = holding(100);

        outcomes(&pacer, 80, 20);
        outcomes(&pacer, 70, 0);
        outcomes(&pacer, 56, 14);
        assert_near(pacer.window, 49, 1e-9);
    }
}

static void
stalled_begins_anew(void **state)
{
    struct pacer pacer = holding(100), narrow = fresh((struct pacer_limits){3, 1e6, 1000000});

    (void)state;
    pacer_stalled(&pacer);
    assert_near(pacer.window, WINDOW_LEAST, 0);
    assert_true(pacer.growing);
    answers(&pacer, 5, 1000);
    assert_near(pacer.window, WINDOW_LEAST + 5, 0);
    pacer_stalled(&narrow);
    assert_near(narrow.window, 3, 0);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(round_trips_are_smoothed_as_the_rfc_says),
        cmocka_unit_test(answers_of_unknown_tries_are_no_samples),
        cmocka_unit_test(timeouts_double_within_their_bounds),
        cmocka_unit_test(overdue_follows_the_round_trip),
        cmocka_unit_test(late_answers_widen_the_allowance),
        cmocka_unit_test(first_questions_fill_the_first_window),
        cmocka_unit_test(questions_leave_spaced),
        cmocka_unit_test(a_hundredth_of_a_second_may_leave_at_once),
        cmocka_unit_test(window_grows_by_one_for_each_answer),
        cmocka_unit_test(window_grows_until_the_queue_passes_eight),
        cmocka_unit_test(losses_cut_the_window),
        cmocka_unit_test(losses_that_stay_are_usual),
        cmocka_unit_test(losses_that_a_cut_cures_are_cut_again),
        cmocka_unit_test(stalled_begins_anew),
    };

    return cmocka_run_group_tests_name("pacer", tests, NULL, NULL);
}
