/* SPDX-License-Identifier: MIT */
/* When a desk is lost, and when it may have been started anew. */
#include "unit.h"

#include "link/presence.h"

static const struct presence_limits answers = {true, 5000, 0, 8000};
static const struct presence_limits pushes = {false, 5000, 0, 8000};
static const struct presence_limits stated = {false, 5000, 20000, 8000};

static struct presence
begun(struct presence_limits limits)
{
    struct presence presence;

    presence_begin(&presence, limits, 0);
    return presence;
}

static void
test_silence_begins_with_a_question(void **state)
{
    struct presence presence = begun(answers);

    (void)state;
    assert_int_equal(presence_lost_at_ms(&presence), 5000); /* a reading expects an answer */
    assert_false(presence_heard(&presence, true, 0.5, 100));
    assert_int_equal(presence_lost_at_ms(&presence), INT64_MAX);
    presence_asked(&presence, 1000);
    presence_asked(&presence, 4000);
    assert_int_equal(presence_lost_at_ms(&presence), 6000);
    assert_false(presence_heard(&presence, false, 0.5, 5900));
    assert_int_equal(presence_lost_at_ms(&presence), INT64_MAX);
}

static void
test_renewals_are_no_questions(void **state)
{
    struct presence presence = begun(answers);

    (void)state;
    presence_heard(&presence, true, 0.5, 100);
    presence_renewed(&presence, 200);
    assert_int_equal(presence_lost_at_ms(&presence), INT64_MAX);
}

static void
test_a_desk_that_only_pushes(void **state)
{
    struct presence presence = begun(pushes);

    (void)state;
    assert_int_equal(presence_lost_at_ms(&presence), INT64_MAX);
    for (int64_t now_ms = 1000; now_ms < 60000; now_ms += 8000) {
        presence_renewed(&presence, now_ms); /* and only hands move */
        presence_heard(&presence, false, 0.5, now_ms + 3000);
    }
    assert_int_equal(presence_lost_at_ms(&presence), INT64_MAX);
    for (int64_t now_ms = 60000; now_ms <= 68000; now_ms += 8000) {
        presence_renewed(&presence, now_ms);
        presence_heard(&presence, true, 0.5, now_ms + 10);
        presence_heard(&presence, true, 0.5, now_ms + 20);
        assert_int_equal(presence_lost_at_ms(&presence),
                         now_ms < 68000 ? INT64_MAX : now_ms + 20 + 24000);
    }
}

static void
test_a_time_that_is_stated_counts(void **state)
{
    struct presence presence = begun(stated);

    (void)state;
    assert_int_equal(presence_lost_at_ms(&presence), 20000);
    presence_heard(&presence, false, 0.5, 700);
    assert_int_equal(presence_lost_at_ms(&presence), 20700);
}

static void
test_no_renewal_makes_a_desk_lost_sooner(void **state)
{
    struct presence presence = begun((struct presence_limits){false, 5000, 0, 500});

    (void)state;
    for (int64_t now_ms = 0; now_ms <= 500; now_ms += 500) {
        presence_renewed(&presence, now_ms);
        presence_heard(&presence, true, 0.5, now_ms);
    }
    assert_int_equal(presence_lost_at_ms(&presence), 5500);
}

/* ---- started anew ---- */

static void
test_refused_and_heard_again(void **state)
{
    struct presence presence = begun(answers);

    (void)state;
    presence_trouble(&presence, 10);
    assert_false(presence_heard(&presence, true, 0.5, 20)); /* nothing was known before */
    presence_trouble(&presence, 30);
    assert_true(presence_heard(&presence, true, 0.5, 40));
    assert_false(presence_heard(&presence, true, 0.5, 50)); /* once */
}

static void
ask_many(struct presence *presence, int count, int64_t from_ms, int64_t to_ms)
{
    for (int i = 0; i < count; i++)
        presence_asked(presence, from_ms + (to_ms - from_ms) * i / count);
}

static void
test_unanswered_and_heard_again(void **state)
{
    static const struct {
        const char *what;
        int questions;
        int64_t silent_ms;
        double loss;
        bool anew;
    } rows[] = {
        {"many in a second, nothing lost else", 80, 1000, 0.001, true},
        {"three in a second, nothing lost else", 3, 1000, 0.001, true},
        {"two in a second", 2, 1000, 0.001, false},
        {"three, where half are lost: one in eight", 3, 1000, 0.5, false},
        {"19, where half are lost: two in a million", 19, 1000, 0.5, false},
        {"20, where half are lost", 20, 1000, 0.5, true},
        {"many, but a hiccup", 80, 399, 0.001, false},
        {"nobody knows what is lost", 80, 1000, 1, false},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct presence presence = begun(answers);

        presence_heard(&presence, true, 1, 0);
        ask_many(&presence, rows[i].questions, 10, 10 + rows[i].silent_ms);
        assert_row(rows[i].what,
                   presence_heard(&presence, false, rows[i].loss, 10 + rows[i].silent_ms),
                   rows[i].anew);
    }
}

static void
test_renewals_unanswered_and_heard_again(void **state)
{
    struct presence presence = begun(pushes);

    (void)state;
    for (int64_t now_ms = 0; now_ms <= 8000; now_ms += 8000) {
        presence_renewed(&presence, now_ms);
        assert_false(presence_heard(&presence, true, 0.5, now_ms + 10));
    }
    presence_renewed(&presence, 16000);
    assert_true(presence_heard(&presence, false, 0.5, 20000));
    presence_renewed(&presence, 24000);
    assert_false(presence_heard(&presence, true, 0.5, 24010));
}

/* Half of all answers are lost, for a day of 20 questions a second: hardly a new start. */
static void
test_losses_alone(void **state)
{
    struct presence presence = begun(answers);
    struct dice dice = dice_new();
    int anew = 0;

    (void)state;
    for (int64_t now_ms = 0; now_ms < INT64_C(24) * 3600 * 1000; now_ms += 50) {
        presence_asked(&presence, now_ms);
        if (dice_below(&dice, 100) < 49)
            anew += presence_heard(&presence, false, 0.51, now_ms + 10);
    }
    assert_in_range(anew, 0, 10);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_silence_begins_with_a_question),
        cmocka_unit_test(test_renewals_are_no_questions),
        cmocka_unit_test(test_a_desk_that_only_pushes),
        cmocka_unit_test(test_a_time_that_is_stated_counts),
        cmocka_unit_test(test_no_renewal_makes_a_desk_lost_sooner),
        cmocka_unit_test(test_refused_and_heard_again),
        cmocka_unit_test(test_unanswered_and_heard_again),
        cmocka_unit_test(test_renewals_unanswered_and_heard_again),
        cmocka_unit_test(test_losses_alone),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
