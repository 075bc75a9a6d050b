/* SPDX-License-Identifier: MIT */
/* The pacing of questions, against a desk that exists only as numbers: every promise is about what
 * leaves and when, so no socket is needed.
 */
#include "unit.h"

#include <stdlib.h>
#include <string.h>

#include "link/questions.h"

/* 12 questions by input, each with one answer; 1 question by pattern, with 12 answers. */
static const char text[] =
    "{ \"profile_format\": 1, \"desk\": \"numbers\", \"link\": { \"transport\": \"udp\", \"port\": "
    "1 },"
    "  \"pace\": { \"in_flight\": 4, \"per_second\": 1000, \"answer_within_ms\": 100, \"tries\": 3 "
    "},"
    "  \"counts\": { \"input\": 12, \"mix\": 1 },"
    "  \"values\": [ { \"at\": \"/in/{input}/trim\", \"is\": \"input.trim\" },"
    "                { \"ask\": [\"/in/*/gain\"], \"this_only_asks\": true,"
    "                  \"answer\": [\"/in/{input}/gain\", { \"is\": \"input.preamp_gain\" }] },"
    "                { \"answer\": [\"/in/{input}/mute\", { \"is\": \"input.mute\" }] } ] }";

enum { INPUTS = 12, QUESTIONS = 13, IN_FLIGHT = 4, TRIES = 3, WITHIN_US = 100000 };

/* One place is kept for a question that is known to be answered. */
enum { WINDOW = IN_FLIGHT - 1 };
enum { BY_INPUT, BY_PATTERN, PUSHED };

struct bench {
    struct profile *profile;
    struct questions *questions;
};

static int
set_up(void **state)
{
    struct bench *bench = calloc(1, sizeof *bench);
    struct problems problems = {0};
    struct json *json;

    json = json_parse(text, strlen(text), "numbers", &problems);
    bench->profile = json ? profile_from_json(json, "numbers", &problems) : NULL;
    problems_print(&problems, stderr);
    problems_release(&problems);
    json_free(json);
    bench->questions = bench->profile ? questions_new(bench->profile) : NULL;
    *state = bench;
    return bench->questions ? 0 : -1;
}

static int
tear_down(void **state)
{
    struct bench *bench = *state;

    questions_free(bench->questions);
    profile_free(bench->profile);
    free(bench);
    return 0;
}

/* Sends all that may go at `now_us`; how many that were, with the last one's place. */
static int
send_all(struct questions *questions, int64_t now_us, size_t *entry, size_t *place)
{
    int sent = 0;

    while (questions_next(questions, now_us, entry, place))
        sent++;
    return sent;
}

static void
test_at_most_in_flight_are_under_way(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;
    size_t entry, place;

    questions_begin(questions, 0, 1000);
    assert_int_equal(send_all(questions, 0, &entry, &place), WINDOW);
    assert_int_equal(send_all(questions, 50000, &entry, &place), 0);
    assert_true(questions_answered(questions, BY_INPUT, 0, 50000));
    assert_int_equal(send_all(questions, 50000, &entry, &place), 1);
    assert_int_equal(place, WINDOW);
}

static void
test_per_second_holds_over_every_second(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;
    size_t entry, place;
    int sent = 0;

    /* 20 a second with a burst of one: the k-th question leaves at 50 ms times k at the earliest */
    questions_begin(questions, 0, 20);
    for (int64_t now_us = 0; now_us <= 500000; now_us += 1000) {
        while (questions_next(questions, now_us, &entry, &place)) {
            assert_true(now_us >= 50000 * sent);
            questions_answered(questions, entry, place, 0);
            sent++;
        }
    }
    assert_int_equal(sent, 10); /* a hundredth slower, so that no second sees 21 */
}

static void
test_a_missing_answer_is_asked_again_then_given_up(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;
    int asked[QUESTIONS] = {0};
    int64_t now_us = 0;

    /* an hour of a silent desk, asleep whenever the pacing says so */
    questions_begin(questions, 0, 1000);
    while (!questions_done(questions) && now_us < INT64_C(3600000000)) {
        size_t entry, place;
        int64_t wait_us;

        questions_expire(questions, now_us);
        while (questions_next(questions, now_us, &entry, &place))
            asked[entry == BY_INPUT ? place : INPUTS]++;
        wait_us = questions_wait_us(questions, now_us, 0);
        assert_true(wait_us >= 0 || questions_done(questions));
        now_us += wait_us < 1 ? 1 : wait_us;
    }
    assert_true(questions_done(questions));
    for (int i = 0; i < QUESTIONS; i++)
        assert_int_equal(asked[i], TRIES);
    assert_int_equal(questions_figures(questions).asked, QUESTIONS);
    assert_int_equal(questions_figures(questions).asked_again, QUESTIONS * (TRIES - 1));
    assert_int_equal(questions_figures(questions).never_came, QUESTIONS);
    assert_int_equal(questions_figures(questions).heard, 0);
    /* 13 questions, 3 tries, 3 at a time, 100 ms each: 13 rounds at the least, and little more */
    assert_in_range(now_us, 1300000, 1400000);
}

static void
test_what_protects_is_asked_first(void **state)
{
    static const char with_limiters[] =
        "{ \"profile_format\": 1, \"desk\": \"d\", \"link\": { \"transport\": \"udp\", \"port\": 1 "
        "},"
        "  \"counts\": { \"input\": 2, \"mix\": 2 },"
        "  \"values\": [ { \"at\": \"/in/{input}/trim\", \"is\": \"input.trim\" },"
        "                { \"at\": \"/mix/{mix}/limit\", \"is\": \"mix.limiter.threshold\" } ] }";
    struct problems problems = {0};
    struct json *json = json_parse(with_limiters, strlen(with_limiters), "limiters", &problems);
    struct profile *profile = profile_from_json(json, "limiters", &problems);
    struct questions *questions = questions_new(profile);
    size_t entries[4] = {0}, place;

    (void)state;
    assert_int_equal(problems.count, 0);
    questions_begin(questions, 0, 1000);
    for (int i = 0; i < 4; i++)
        assert_true(questions_next(questions, i, &entries[i], &place));
    assert_int_equal(entries[0] + entries[1], 2);
    assert_int_equal(entries[2] + entries[3], 0);
    questions_free(questions);
    profile_free(profile);
    json_free(json);
}

/* All of a reading answered at once. */
static void
read_all(struct questions *questions)
{
    size_t entry, place;

    questions_begin(questions, 0, 1e6);
    for (int64_t now_us = 0; !questions_done(questions); now_us += 100)
        while (questions_next(questions, now_us, &entry, &place))
            for (size_t i = 0; i < (entry == BY_PATTERN ? INPUTS : 1); i++)
                questions_answered(questions, entry, entry == BY_PATTERN ? i : place, now_us);
}

static void
test_a_single_question_is_put(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;
    size_t entry, place;

    read_all(questions);
    assert_int_equal(questions_figures(questions).heard, QUESTIONS);
    assert_false(questions_next(questions, 10000, &entry, &place));
    assert_true(questions_put(questions, 5, false));
    assert_false(questions_put(questions, 5, false));
    assert_true(questions_put(questions, 7, true));
    assert_true(questions_urgent(questions));
    /* what is heard before it left is a push, and no answer to it */
    assert_false(questions_answered(questions, BY_INPUT, 7, 10000));
    assert_true(questions_next(questions, 10000, &entry, &place));
    assert_int_equal(place, 7);
    assert_false(questions_urgent(questions));
    assert_int_equal(questions_wait_us(questions, 10000, 4000), 4000); /* 5 is held back */
    assert_true(questions_answered(questions, BY_INPUT, 7, 10001));
    assert_true(questions_next(questions, 10001, &entry, &place));
    assert_int_equal(place, 5);
    assert_false(questions_are_waiting(questions));
    assert_true(questions_done(questions)); /* the reading is */
    assert_int_equal(questions_figures(questions).asked, QUESTIONS);
}

static void
test_an_urgent_one_stays_urgent(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;
    size_t entry, place;

    read_all(questions);
    questions_put(questions, 3, true);
    assert_true(questions_next(questions, 10000, &entry, &place));
    questions_put(questions, 4, false);
    questions_expire(questions, 10000 + 3 * WITHIN_US); /* lost */
    assert_true(questions_urgent(questions));
    assert_true(questions_next(questions, 10000 + 3 * WITHIN_US, &entry, &place));
    assert_int_equal(place, 3);
}

static void
test_how_fast_it_was_read(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;
    size_t entry, place;

    questions_begin(questions, 0, 1000);
    assert_near(questions_per_second(questions), 1000, 0);
    for (int64_t now_us = 0; !questions_done(questions); now_us += 50000)
        if (questions_next(questions, now_us, &entry, &place))
            for (size_t i = 0; i < (entry == BY_PATTERN ? INPUTS : 1); i++)
                questions_answered(questions, entry, entry == BY_PATTERN ? i : place, now_us);
    assert_near(questions_per_second(questions), QUESTIONS / 0.6,
                0.01); /* the 13th left at 0.6 s */
}

static void
test_first_tries_go_before_second_ones(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;
    size_t entry, place;

    questions_begin(questions, 0, 1000);
    send_all(questions, 0, &entry, &place);
    questions_expire(questions, WITHIN_US);
    assert_int_equal(send_all(questions, WITHIN_US, &entry, &place), WINDOW);
    assert_int_equal(place, 2 * WINDOW - 1);
}

static void
test_a_pattern_waits_for_each_of_its_answers(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;

    questions_begin(questions, 0, 1000);
    for (size_t place = 0; place < INPUTS; place++)
        questions_answered(questions, BY_INPUT, place, 0);
    for (size_t place = 0; place + 1 < INPUTS; place++) {
        assert_false(questions_answered(questions, BY_PATTERN, place, 0));
        assert_false(questions_answered(questions, BY_PATTERN, place, 0)); /* twice counts once */
    }
    assert_false(questions_done(questions));
    assert_true(questions_answered(questions, BY_PATTERN, INPUTS - 1, 0));
    assert_true(questions_done(questions));
    assert_int_equal(questions_figures(questions).heard, QUESTIONS);
}

static void
test_a_late_answer_counts(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;
    size_t entry, place;

    questions_begin(questions, 0, 1000);
    for (int64_t now_us = 0; !questions_done(questions); now_us += WITHIN_US) {
        questions_expire(questions, now_us);
        send_all(questions, now_us, &entry, &place);
    }
    assert_int_equal(questions_figures(questions).never_came, QUESTIONS);
    questions_answered(questions, BY_INPUT, 3, 0);
    assert_int_equal(questions_figures(questions).never_came, QUESTIONS - 1);
    assert_int_equal(questions_figures(questions).heard, 1);
}

static void
test_what_is_only_pushed_is_never_asked(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;

    assert_int_equal(questions_figures(questions).questions, QUESTIONS);
    questions_begin(questions, 0, 1000);
    assert_false(questions_answered(questions, PUSHED, 0, 0));
    assert_int_equal(questions_figures(questions).heard, 0);
}

static void
test_a_new_reading_forgets_the_last(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;

    questions_begin(questions, 0, 1000);
    for (size_t place = 0; place < INPUTS; place++) {
        questions_answered(questions, BY_INPUT, place, 0);
        questions_answered(questions, BY_PATTERN, place, 0);
    }
    assert_true(questions_done(questions));
    questions_begin(questions, 10, 1000);
    assert_false(questions_done(questions));
    assert_true(questions_answered(questions, BY_INPUT, 0, 0));
    assert_int_equal(questions_figures(questions).heard, 1);
}

/* A desk that loses a third of all that is sent to it: everything ends, nothing is asked too often,
 * never too many are under way, and the figures add up. */
static void
test_property_losses(void **state)
{
    struct questions *questions = ((struct bench *)*state)->questions;
    struct dice dice = dice_new();

    for (int run = 0; run < 300; run++) {
        int64_t now_us = dice_below(&dice, 100000);
        int sent = 0;
        struct question_figures figures;

        questions_begin(questions, now_us, 1000);
        while (!questions_done(questions)) {
            size_t entry, place;
            int unanswered = 0;

            questions_expire(questions, now_us);
            while (questions_next(questions, now_us, &entry, &place)) {
                sent++;
                assert_true(unanswered < IN_FLIGHT);
                unanswered++;
                if (dice_below(&dice, 3) == 0)
                    continue;
                for (size_t answer = 0; answer < (entry == BY_PATTERN ? INPUTS : 1); answer++)
                    questions_answered(questions, entry, entry == BY_PATTERN ? answer : place, 0);
                unanswered--;
            }
            now_us += dice_below(&dice, WITHIN_US);
        }
        figures = questions_figures(questions);
        assert_int_equal(figures.heard + figures.never_came, QUESTIONS);
        assert_int_equal(figures.asked + figures.asked_again + figures.yardsticks, sent);
        assert_true(figures.asked_again <= QUESTIONS * (TRIES - 1));
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_at_most_in_flight_are_under_way, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_per_second_holds_over_every_second, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_a_missing_answer_is_asked_again_then_given_up, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(test_a_single_question_is_put, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_an_urgent_one_stays_urgent, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_how_fast_it_was_read, set_up, tear_down),
        cmocka_unit_test(test_what_protects_is_asked_first),
        cmocka_unit_test_setup_teardown(test_first_tries_go_before_second_ones, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_a_pattern_waits_for_each_of_its_answers, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(test_a_late_answer_counts, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_what_is_only_pushed_is_never_asked, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_a_new_reading_forgets_the_last, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_property_losses, set_up, tear_down),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
