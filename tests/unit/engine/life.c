/* SPDX-License-Identifier: MIT */
/* The life of a finding against the drawing in life.h: holds, the move that is not over until it
 * stops, and unknown, which freezes.
 */
#include "engine/life.h"

#include <stdio.h>
#include <string.h>

#include "unit.h"

static const struct life_holds holds = {.raise_ms = 3000, .clear_ms = 10000, .longest_ms = 30000};

static void
see(struct life *life, enum seen seen, int64_t now_ms)
{
    life_see(life, seen, false, &holds, now_ms, NULL);
}

static void
passes(struct life *life, int64_t now_ms)
{
    life_pass(life, &holds, now_ms, NULL);
}

static void
raises_and_clears_after_its_holds(void **state)
{
    struct life life = {0};

    (void)state;
    see(&life, SEEN_BAD, 1000);
    assert_int_equal(life.state, LIFE_RISING);
    assert_int_equal(life_next_ms(&life, &holds), 4000);
    passes(&life, 3999);
    assert_int_equal(life.state, LIFE_RISING);
    passes(&life, 4000);
    assert_int_equal(life.state, LIFE_RAISED);
    assert_int_equal(life_next_ms(&life, &holds), INT64_MAX);
    see(&life, SEEN_GOOD, 5000);
    assert_int_equal(life.state, LIFE_EASING);
    assert_true(life_is_open(&life));
    passes(&life, 14999);
    assert_int_equal(life.state, LIFE_EASING);
    passes(&life, 15000);
    assert_int_equal(life.state, LIFE_CLEAR);
    assert_false(life_is_open(&life));
}

static void
short_ones_are_never_raised_and_come_backs_never_cleared(void **state)
{
    struct life life = {0};

    (void)state;
    see(&life, SEEN_BAD, 0);
    see(&life, SEEN_GOOD, 2999);
    assert_int_equal(life.state, LIFE_CLEAR);
    see(&life, SEEN_BAD, 3000);
    passes(&life, 5999);
    assert_int_equal(life.state, LIFE_RISING); /* the hold began anew */
    passes(&life, 6000);
    see(&life, SEEN_GOOD, 7000);
    see(&life, SEEN_BAD, 16999);
    assert_int_equal(life.state, LIFE_RAISED);
    passes(&life, 17000);
    assert_int_equal(life.state, LIFE_RAISED);
}

static void
a_move_is_not_over_until_it_stops(void **state)
{
    struct life life = {0};

    (void)state;
    for (int64_t now_ms = 0; now_ms <= 20000; now_ms += 1000) {
        life_see(&life, SEEN_BAD, true, &holds, now_ms, NULL);
        assert_int_equal(life.state, LIFE_RISING);
    }
    assert_int_equal(life_next_ms(&life, &holds), 23000);
    passes(&life, 23000);
    assert_int_equal(life.state, LIFE_RAISED);
}

static void
a_move_without_end_is_raised_all_the_same(void **state)
{
    struct life life = {0};
    int64_t now_ms = 0;

    (void)state;
    while (life.state != LIFE_RAISED) {
        life_see(&life, SEEN_BAD, true, &holds, now_ms, NULL);
        now_ms += 500;
    }
    assert_int_equal(life.since_ms, holds.longest_ms);
}

static void
unknown_freezes_every_state(void **state)
{
    for (int from = LIFE_CLEAR; from <= LIFE_EASING; from++) {
        struct life life = {.state = (enum life_state)from};

        (void)state;
        see(&life, SEEN_UNKNOWN, 1000);
        assert_int_equal(life_next_ms(&life, &holds), INT64_MAX);
        passes(&life, 1000000);
        assert_int_equal(life.state, from);
        assert_true(life.frozen);
    }
}

static void
the_hold_begins_anew_behind_unknown(void **state)
{
    struct life life = {0};

    (void)state;
    see(&life, SEEN_BAD, 0);
    see(&life, SEEN_UNKNOWN, 2000);
    see(&life, SEEN_BAD, 60000);
    assert_int_equal(life.state, LIFE_RISING);
    passes(&life, 62999);
    assert_int_equal(life.state, LIFE_RISING);
    passes(&life, 63000);
    assert_int_equal(life.state, LIFE_RAISED);
}

static void
without_holds_it_is_told_at_once(void **state)
{
    static const struct life_holds none = {0};
    struct life life = {0};

    (void)state;
    life_see(&life, SEEN_BAD, true, &none, 7, NULL);
    assert_int_equal(life.state, LIFE_RAISED);
    life_see(&life, SEEN_GOOD, false, &none, 8, NULL);
    assert_int_equal(life.state, LIFE_CLEAR);
}

struct seen_log {
    char text[200];
};

static void
write_log(void *context, enum life_state from, enum life_state to, const char *why)
{
    struct seen_log *log = context;
    size_t used = strlen(log->text);

    snprintf(log->text + used, sizeof log->text - used, "%s -> %s (%s)\n", life_state_name(from),
             life_state_name(to), why);
}

static void
every_step_is_logged(void **state)
{
    struct life life = {0};
    struct seen_log log = {""};

    (void)state;
    life_see(&life, SEEN_BAD, false, &holds, 0, &(struct life_log){write_log, &log});
    life_see(&life, SEEN_UNKNOWN, false, &holds, 1, &(struct life_log){write_log, &log});
    life_see(&life, SEEN_BAD, false, &holds, 2, &(struct life_log){write_log, &log});
    life_pass(&life, &holds, 3002, &(struct life_log){write_log, &log});
    life_see(&life, SEEN_GOOD, false, &holds, 4000, &(struct life_log){write_log, &log});
    life_pass(&life, &holds, 14000, &(struct life_log){write_log, &log});
    assert_string_equal(log.text, "clear -> rising (the check fails)\n"
                                  "rising -> raised (it held)\n"
                                  "raised -> easing (the check passes)\n"
                                  "easing -> clear (it stayed away)\n");
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(raises_and_clears_after_its_holds),
        cmocka_unit_test(short_ones_are_never_raised_and_come_backs_never_cleared),
        cmocka_unit_test(a_move_is_not_over_until_it_stops),
        cmocka_unit_test(a_move_without_end_is_raised_all_the_same),
        cmocka_unit_test(unknown_freezes_every_state),
        cmocka_unit_test(the_hold_begins_anew_behind_unknown),
        cmocka_unit_test(without_holds_it_is_told_at_once),
        cmocka_unit_test(every_step_is_logged),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
