/* SPDX-License-Identifier: MIT */
/* What a mix carried: the highest of ten minutes in which something was to be heard. */
#include "unit.h"

#include <math.h>

#include "change/levels.h"

enum { MINUTE_MS = 60000, MIXES = 2 };

/* One reading a minute from `minute` on; returns how often that changed what is told. */
static int
play(struct levels *levels, int mix, int minute, int minutes, double level_db)
{
    int told = 0;

    for (int i = 0; i < minutes; i++)
        told += levels_note(levels, mix, level_db, (int64_t)(minute + i) * MINUTE_MS);
    return told;
}

static void
ten_minutes_are_needed(void **state)
{
    struct levels *levels = levels_new(MIXES);
    double highest_db;

    (void)state;
    assert_int_equal(play(levels, 0, 0, 9, -20), 0);
    assert_false(levels_highest(levels, 0, &highest_db));
    for (int i = 0; i < 50; i++) /* many readings of one minute are one minute */
        assert_false(levels_note(levels, 0, -21, 8 * MINUTE_MS + i));
    assert_false(levels_highest(levels, 0, &highest_db));
    assert_int_equal(play(levels, 0, 9, 1, -25), 1);
    assert_true(levels_highest(levels, 0, &highest_db));
    assert_near(highest_db, -20, 0);
    assert_false(levels_highest(levels, 1, &highest_db)); /* the other mix was never heard */
    levels_free(levels);
}

static void
the_highest_counts_until_it_is_ten_minutes_old(void **state)
{
    struct levels *levels = levels_new(MIXES);
    double highest_db;

    (void)state;
    play(levels, 0, 0, 10, -30);
    assert_int_equal(play(levels, 0, 10, 1, -12), 1);
    assert_int_equal(play(levels, 0, 11, 9, -30), 0);
    assert_true(levels_highest(levels, 0, &highest_db));
    assert_near(highest_db, -12, 0);
    assert_int_equal(play(levels, 0, 20, 1, -30), 1); /* the loud one has left the ten */
    assert_true(levels_highest(levels, 0, &highest_db));
    assert_near(highest_db, -30, 0);
    assert_int_equal(play(levels, 0, 21, 30, -29.5), 0); /* less than a dB is no news */
    levels_free(levels);
}

/* -40 dB full scale and less is nobody playing: neither a minute nor a level. */
static void
silence_is_no_level(void **state)
{
    struct levels *levels = levels_new(MIXES);
    double highest_db;

    (void)state;
    play(levels, 0, 0, 10, -20);
    assert_int_equal(play(levels, 0, 10, 600, LEVELS_SILENT_DB), 0);
    assert_int_equal(play(levels, 0, 700, 600, -HUGE_VAL), 0);
    assert_true(levels_highest(levels, 0, &highest_db));
    assert_near(highest_db, -20, 0);
    assert_int_equal(play(levels, 0, 2000, 9, -39), 0);
    assert_int_equal(play(levels, 0, 2009, 1, -39), 1);
    levels_free(levels);
}

/* A reload keeps what was heard, of the mixes that both have. */
static void
levels_are_carried_over(void **state)
{
    struct levels *from = levels_new(MIXES), *fewer = levels_new(1), *more = levels_new(MIXES + 1);
    double highest_db;

    (void)state;
    play(from, 0, 0, 10, -20);
    play(from, 1, 0, 10, -15);
    levels_carry(fewer, from);
    levels_carry(more, from);
    assert_true(levels_highest(fewer, 0, &highest_db));
    assert_near(highest_db, -20, 0);
    assert_true(levels_highest(more, 1, &highest_db));
    assert_near(highest_db, -15, 0);
    assert_false(levels_highest(more, 2, &highest_db));
    levels_free(from);
    levels_free(fewer);
    levels_free(more);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ten_minutes_are_needed),
        cmocka_unit_test(the_highest_counts_until_it_is_ten_minutes_old),
        cmocka_unit_test(silence_is_no_level),
        cmocka_unit_test(levels_are_carried_over),
    };

    return cmocka_run_group_tests_name("levels", tests, NULL, NULL);
}
