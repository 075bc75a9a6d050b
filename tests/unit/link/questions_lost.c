/* SPDX-License-Identifier: MIT */
/* What becomes of questions that stay without an answer, against a desk that exists only as
 * numbers: the yardstick that is asked beside them, the order of tries, and when they are given up.
 * Times are microseconds.
 */
#include "unit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "link/questions.h"
#include "profiles.h"

enum { PLACES_MOST = 2000 };

struct bench {
    struct loaded loaded;
    struct questions *questions;
    int64_t now_us;
    int sent[PLACES_MOST]; /* by place, in run() */
};

/* A question for each pair of input and mix, at entry 0 unless `more` stands before it. */
static struct bench *
start(void **state, const char *pace, int inputs, int mixes, const char *more)
{
    struct bench *bench = *state;
    char text[1000];

    questions_free(bench->questions);
    loaded_release(&bench->loaded);
    snprintf(text, sizeof text,
             "{\"profile_format\": 1, \"desk\": \"d\", \"link\": {\"transport\": \"udp\","
             " \"port\": 1}, \"pace\": {\"per_second\": 1000000, %s},"
             " \"counts\": {\"input\": %d, \"mix\": %d},"
             " \"values\": [%s{\"at\": \"/i/{input}/{mix}\", \"is\": \"send.level\"}]}",
             pace, inputs, mixes, more);
    loaded_read(&bench->loaded, text);
    assert_non_null(bench->loaded.profile);
    bench->questions = questions_new(bench->loaded.profile);
    assert_non_null(bench->questions);
    questions_begin(bench->questions, 0, 1000000);
    bench->now_us = 0;
    memset(bench->sent, 0, sizeof bench->sent);
    return bench;
}

static int
make(void **state)
{
    *state = calloc(1, sizeof(struct bench));
    return *state ? 0 : -1;
}

static int
drop(void **state)
{
    struct bench *bench = *state;

    questions_free(bench->questions);
    loaded_release(&bench->loaded);
    free(bench);
    return 0;
}

/* Sends one; its place, or -1 when none may go. */
static int
send_one(struct bench *bench, int64_t now_us)
{
    size_t entry, place;

    return questions_next(bench->questions, now_us, &entry, &place) ? (int)place : -1;
}

static int
send_all(struct bench *bench, int64_t now_us)
{
    int count = 0;

    while (send_one(bench, now_us) >= 0)
        count++;
    return count;
}

static bool
answer(struct bench *bench, size_t place, int64_t now_us)
{
    return questions_answered(bench->questions, 0, place, now_us);
}

static struct question_figures
figures(const struct bench *bench)
{
    return questions_figures(bench->questions);
}

static const char four[] = "\"in_flight\": 4, \"tries\": 3, \"answer_within_ms\": 1000";

/* ---- the yardstick ---- */

/* Places 0, 1 and 2 leave at 0; 0 is answered after 1 ms, and 3 leaves. Then no more is heard. With
 * one round trip of 1 ms it is odd 4 ms after a question left (pacer.c). */
static void
begin_silence(struct bench *bench)
{
    assert_int_equal(send_all(bench, 0), 3);
    assert_true(answer(bench, 0, 1000));
    assert_int_equal(send_one(bench, 1000), 3);
}

static void
yardstick_is_asked_when_a_question_is_overdue(void **state)
{
    struct bench *bench = start(state, four, 12, 1, "");

    begin_silence(bench);
    assert_int_equal(send_one(bench, 1000), -1);
    assert_int_equal(questions_wait_us(bench->questions, 1000, 0), 3000);
    assert_int_equal(send_one(bench, 3999), -1);
    assert_int_equal(figures(bench).yardsticks, 0);
    assert_int_equal(questions_wait_us(bench->questions, 4000, 0), 0);
    assert_int_equal(send_one(bench, 4000), 0); /* the one that is known */
    assert_int_equal(send_one(bench, 4000), -1);
    assert_int_equal(send_one(bench, 40000), -1); /* one at a time */
    assert_int_equal(figures(bench).yardsticks, 1);
}

static void
yardstick_is_no_question_of_the_reading(void **state)
{
    struct bench *bench = start(state, four, 12, 1, "");

    begin_silence(bench);
    assert_int_equal(send_one(bench, 4000), 0);
    assert_true(answer(bench, 0, 5000));
    assert_int_equal(figures(bench).asked, 4);
    assert_int_equal(figures(bench).asked_again, 0);
    assert_int_equal(figures(bench).heard, 1);
    assert_int_equal(figures(bench).never_came, 0);
    assert_int_equal(figures(bench).questions, 12);
    assert_false(answer(bench, 0, 5000)); /* nobody waits for it now */
    assert_int_equal(figures(bench).heard, 1);
}

/* Three later ones answered: what is older was passed over, and lost long before its time is over.
 */
static void
answers_of_the_yardstick_pass_others_over(void **state)
{
    struct bench *bench = start(state, four, 12, 1, "");

    begin_silence(bench);
    for (int64_t now_us = 4000; now_us < 7000; now_us += 1000) {
        questions_expire(bench->questions, now_us);
        assert_int_equal(send_one(bench, now_us), 0);
        assert_int_equal(send_one(bench, now_us), -1); /* nothing is lost: there is no room */
        assert_true(answer(bench, 0, now_us + 1000));
    }
    assert_int_equal(figures(bench).yardsticks, 3);
    questions_expire(bench->questions, 7000);
    for (int place = 4; place < 7; place++) /* 1, 2 and 3 are lost: their places are free */
        assert_int_equal(send_one(bench, 7000), place);
    assert_int_equal(send_one(bench, 7000), -1);
    assert_int_equal(figures(bench).asked, 7);
    assert_int_equal(figures(bench).asked_again, 0);
    assert_int_equal(figures(bench).never_came, 0);
}

static void
nothing_is_overdue_while_answers_come(void **state)
{
    struct bench *bench = start(state, four, 100, 1, "");
    int64_t now_us = 0;

    while (!questions_done(bench->questions)) {
        int place = send_one(bench, now_us);

        now_us += 1000;
        assert_true(place >= 0);
        assert_true(answer(bench, (size_t)place, now_us));
    }
    assert_int_equal(figures(bench).yardsticks, 0);
    assert_int_equal(figures(bench).heard, 100);
}

/* Before anything was answered nothing is known to be. */
static void
silent_desk_has_no_yardstick(void **state)
{
    struct bench *bench = start(state, four, 12, 1, "");

    for (int64_t now_us = 0; !questions_done(bench->questions); now_us += 1000) {
        questions_expire(bench->questions, now_us);
        send_all(bench, now_us);
    }
    assert_int_equal(figures(bench).yardsticks, 0);
    assert_int_equal(figures(bench).asked_again, 24);
}

/* In a place of its own it would be a second one under way. */
static void
one_in_flight_has_no_yardstick(void **state)
{
    struct bench *bench =
        start(state, "\"in_flight\": 1, \"tries\": 3, \"answer_within_ms\": 1000", 5, 1, "");

    assert_int_equal(send_one(bench, 0), 0);
    assert_true(answer(bench, 0, 1000));
    assert_int_equal(send_one(bench, 1000), 1);
    for (int64_t now_us = 1000; now_us < 51000; now_us += 1000)
        assert_int_equal(send_one(bench, now_us), -1);
    assert_int_equal(questions_wait_us(bench->questions, 1000, 0), 50000);
    assert_int_equal(figures(bench).yardsticks, 0);
}

/* Not even the yardstick was answered: the desk is gone or drowning, and few are asked. */
static void
yardstick_without_an_answer_begins_anew(void **state)
{
    struct bench *bench =
        start(state, "\"in_flight\": 100, \"tries\": 3, \"answer_within_ms\": 1000", 20, 20, "");
    int64_t now_us = 0;
    int left = 0;

    for (int i = 0; i < 100; i++) {
        int place = send_one(bench, now_us);

        now_us += 1000;
        assert_true(place >= 0 && answer(bench, (size_t)place, now_us));
    }
    assert_int_equal(send_all(bench, now_us), 99); /* all but one place, which is the yardstick's */
    now_us += 5000;
    assert_int_equal(send_one(bench, now_us), 0);
    assert_int_equal(figures(bench).yardsticks, 1);
    now_us += 1000000;
    questions_expire(bench->questions, now_us);
    left = send_all(bench, now_us);
    assert_int_equal(left, 6);
    assert_int_equal(figures(bench).never_came, 0);
}

/* ---- the order of tries ---- */

/* No question is put again while another was never put. */
static void
first_tries_go_before_all_others(void **state)
{
    struct dice dice = dice_new();

    for (int run = 0; run < 30; run++) {
        struct bench *bench = start(state, four, 60, 1, "");
        int never_put = 60;
        int64_t now_us = 0;

        while (!questions_done(bench->questions)) {
            size_t yardsticks = figures(bench).yardsticks;
            int place = send_one(bench, now_us);

            if (place >= 0 && figures(bench).yardsticks == yardsticks) {
                assert_true(bench->sent[place] == 0 || never_put == 0);
                never_put -= bench->sent[place]++ == 0;
            }
            if (place >= 0 && dice_below(&dice, 3) > 0)
                answer(bench, (size_t)place, now_us + 500);
            now_us += 1000;
            questions_expire(bench->questions, now_us);
        }
        assert_int_equal(never_put, 0);
    }
}

/* Those that were lost wait in the order in which they were. */
static void
lost_ones_wait_in_order(void **state)
{
    struct bench *bench = start(state, four, 6, 1, "");

    assert_int_equal(send_all(bench, 0), 3); /* nothing is ever heard: a tenth of a second each */
    questions_expire(bench->questions, 100000);
    for (int place = 3; place < 6; place++)
        assert_int_equal(send_one(bench, 100000), place);
    questions_expire(bench->questions, 200000);
    for (int place = 0; place < 3; place++)
        assert_int_equal(send_one(bench, 200000), place);
    assert_int_equal(figures(bench).asked, 6);
    assert_int_equal(figures(bench).asked_again, 3);
    questions_expire(bench->questions, 399999); /* a second try has twice the time */
    assert_int_equal(send_one(bench, 399999), -1);
    questions_expire(bench->questions, 400000);
    assert_int_equal(send_one(bench, 400000), 3);
}

/* One question whose many answers still come does not keep another from being lost in time. */
static void
long_answers_hold_nobody_up(void **state)
{
    struct bench *bench = start(
        state, "\"in_flight\": 3, \"tries\": 3, \"answer_within_ms\": 1000", 40, 1,
        "{\"ask\": [\"/in/*/gain\"], \"this_only_asks\": true, \"answer\": [\"/in/{input}/gain\","
        " {\"is\": \"input.preamp_gain\"}]}, ");

    assert_int_equal(send_all(bench, 0), 2); /* the one with many answers, and one other */
    for (size_t input = 0; input < 5; input++) {
        assert_false(answer(bench, input, 10000 * ((int64_t)input + 1)));
        questions_expire(bench->questions, 10000 * ((int64_t)input + 1) - 1);
        assert_int_equal(send_one(bench, 10000 * ((int64_t)input + 1) - 1), -1);
    }
    assert_int_equal(questions_wait_us(bench->questions, 50000, 0), 0);
    questions_expire(bench->questions, 50000);
    assert_int_equal(send_one(bench, 50000), 1);
}

/* ---- giving up ---- */

/* Reads a desk one question at a time, which makes no use of a yardstick: the last place is never
 * answered, and the first `twice` of them at the second try only. How often the last one was put.
 */
static int
tries_of_the_silent_one(void **state, int tries, int inputs, int mixes, int twice)
{
    char pace[100];
    struct bench *bench;
    int count = inputs * mixes;

    snprintf(pace, sizeof pace, "\"in_flight\": 1, \"tries\": %d, \"answer_within_ms\": 1000",
             tries);
    bench = start(state, pace, inputs, mixes, "");
    while (!questions_done(bench->questions)) {
        int place;
        int64_t wait_us;

        questions_expire(bench->questions, bench->now_us);
        while ((place = send_one(bench, bench->now_us)) >= 0) {
            if (bench->sent[place]++ < (place < twice) || place == count - 1)
                continue;
            bench->now_us += 1000;
            assert_true(answer(bench, (size_t)place, bench->now_us));
        }
        wait_us = questions_wait_us(bench->questions, bench->now_us, 0);
        bench->now_us += wait_us > 0 ? wait_us : 0;
    }
    assert_int_equal(figures(bench).heard, count - 1);
    assert_int_equal(figures(bench).never_came, 1);
    assert_int_equal(figures(bench).asked, count);
    assert_int_equal(figures(bench).asked_again, twice + bench->sent[count - 1] - 1);
    return bench->sent[count - 1];
}

/* n answers took m tries: the network loses (m - n + 1) of (m + 1) at the most. Of N questions one
 * in a thousand readings may be given up for chance: after t tries, when N times that loss to the
 * power of t is no more than 0.001. By hand:
 * 13: (1/13)^3 * 13 = 0.0059, (1/13)^4 * 13 = 0.00046. 101: (1/101)^3 * 101 = 0.000098.
 * 1200: (1/1200)^2 * 1200 = 0.00083, yet it is put three times.
 * 101, 50 of them at the second try: 51/151 = 0.338; 0.338^10 * 101 = 0.0019, ^11: 0.00065.
 * 101, all at the second: 101/201 = 0.502; 0.502^16 * 101 = 0.0017, ^17: 0.00084. */
static void
giving_up_follows_the_measured_loss(void **state)
{
    static const struct {
        const char *name;
        int tries, inputs, mixes, twice, expected;
    } rows[] = {
        {"a few", 20, 13, 1, 0, 4},
        {"a hundred", 20, 101, 1, 0, 3},
        {"many", 20, 40, 30, 0, 3},
        {"half of them twice", 20, 101, 1, 50, 11},
        {"half of them twice, held by tries", 6, 101, 1, 50, 6},
        {"all of them twice", 20, 101, 1, 100, 17},
        {"two tries", 2, 101, 1, 0, 2},
        {"one try", 1, 101, 1, 0, 1},
        {"nothing ever came", 20, 1, 1, 0, 20},
    };

    for (size_t i = 0; i < COUNT(rows); i++)
        assert_row(rows[i].name,
                   tries_of_the_silent_one(state, rows[i].tries, rows[i].inputs, rows[i].mixes,
                                           rows[i].twice),
                   rows[i].expected);
}

/* Reads a desk of twelve places that knows the first one only, whose network loses every so many of
 * the yardsticks (0: none). How often the last place was put. */
static int
tries_beside_yardsticks(void **state, int every)
{
    struct bench *bench =
        start(state, "\"in_flight\": 4, \"tries\": 20, \"answer_within_ms\": 1000", 12, 1, "");
    size_t yardsticks = 0;

    for (int64_t now_us = 0; !questions_done(bench->questions); now_us += 500) {
        int place;

        questions_expire(bench->questions, now_us);
        while ((place = send_one(bench, now_us)) >= 0) {
            if (figures(bench).yardsticks == yardsticks) {
                bench->sent[place]++;
            } else if (every > 0 && (int)++yardsticks % every == 0) {
                continue;
            }
            yardsticks = figures(bench).yardsticks;
            if (place == 0)
                assert_true(answer(bench, 0, now_us + 100));
        }
    }
    assert_int_equal(bench->sent[0], 1);
    assert_int_equal(figures(bench).never_came, 11);
    return bench->sent[11];
}

/* A yardstick that is lost tells of the network what another question's second try does. With none
 * lost, 12 questions are put four times at the most; with every second one, 12 * 0.5^14 = 0.0007.
 */
static void
lost_yardsticks_are_losses(void **state)
{
    assert_in_range(tries_beside_yardsticks(state, 0), 3, 4);
    assert_in_range(tries_beside_yardsticks(state, 2), 12, 16);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, make, drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(yardstick_is_asked_when_a_question_is_overdue),
        TEST(yardstick_is_no_question_of_the_reading),
        TEST(answers_of_the_yardstick_pass_others_over),
        TEST(nothing_is_overdue_while_answers_come),
        TEST(silent_desk_has_no_yardstick),
        TEST(one_in_flight_has_no_yardstick),
        TEST(yardstick_without_an_answer_begins_anew),
        TEST(first_tries_go_before_all_others),
        TEST(lost_ones_wait_in_order),
        TEST(long_answers_hold_nobody_up),
        TEST(giving_up_follows_the_measured_loss),
        TEST(lost_yardsticks_are_losses),
    };

    return cmocka_run_group_tests_name("questions_lost", tests, NULL, NULL);
}
