/* SPDX-License-Identifier: MIT */
/* The desk as it was ten seconds ago, against a history that keeps every move. */
#include "rig.h"
#include "unit.h"

#include "change/lately.h"

enum { INPUTS = 20, MIXES = 10, GRACE_MS = 500 }; /* moves so close together are one */

struct evening {
    struct lately *lately;
    struct desk *desk;
    int64_t now_ms;
};

static void
begin(struct evening *evening, struct rig *rig)
{
    rig_start(rig, INPUTS, MIXES);
    *evening = (struct evening){lately_new(), desk_copy(rig->desk), 1000000};
    for (int input = 0; input < INPUTS; input++)
        for (int mix = 0; mix < MIXES; mix++)
            desk_set(evening->desk, PARAM_SEND_LEVEL, input, mix, -10, evening->now_ms);
}

static void
finish(struct evening *evening)
{
    lately_free(evening->lately);
    desk_free(evening->desk);
}

static void
move(struct evening *evening, int input, int mix, double db)
{
    struct moved moved = {PARAM_SEND_LEVEL, input, mix,
                          *desk_value(evening->desk, PARAM_SEND_LEVEL, input, mix)};

    assert_int_equal(desk_set(evening->desk, PARAM_SEND_LEVEL, input, mix, db, evening->now_ms),
                     CHANGE_MOVED);
    lately_note(evening->lately, &moved, evening->now_ms);
}

/* The send ten seconds before, or as it is where nothing moved since. */
static double
was_db(const struct evening *evening, int input, int mix)
{
    struct desk *before =
        lately_before(evening->lately, evening->desk, evening->now_ms - LATELY_MS);
    double db =
        value_number(desk_value(before ? before : evening->desk, PARAM_SEND_LEVEL, input, mix));

    desk_free(before);
    return db;
}

static void
a_move_is_undone_for_ten_seconds(void **state)
{
    struct evening evening;

    begin(&evening, *state);
    assert_null(lately_before(evening.lately, evening.desk, evening.now_ms - LATELY_MS));
    move(&evening, 1, 0, -6);
    evening.now_ms += 4000;
    move(&evening, 2, 0, -3);
    assert_near(was_db(&evening, 1, 0), -10, 0);
    assert_near(was_db(&evening, 2, 0), -10, 0);
    assert_near(was_db(&evening, 3, 0), -10, 0);
    evening.now_ms += LATELY_MS - 4000;
    assert_near(was_db(&evening, 1, 0), -10, 0);
    evening.now_ms += 1;
    assert_near(was_db(&evening, 1, 0), -6, 0);
    assert_near(was_db(&evening, 2, 0), -10, 0);
    evening.now_ms += 4000;
    assert_null(lately_before(evening.lately, evening.desk, evening.now_ms - LATELY_MS));
    assert_near(value_number(desk_value(evening.desk, PARAM_SEND_LEVEL, 1, 0)), -6, 0);
    finish(&evening);
}

/* Up and down and up again: what it was at first. */
static void
the_oldest_of_several_moves_counts(void **state)
{
    static const double way[] = {-4, -20, -2, 0};
    struct evening evening;

    begin(&evening, *state);
    for (size_t i = 0; i < COUNT(way); i++) {
        move(&evening, 0, 0, way[i]);
        evening.now_ms += 2 * GRACE_MS;
    }
    assert_near(was_db(&evening, 0, 0), -10, 0);
    finish(&evening);
}

/* A hand that rides for a minute, fifty values a second: all of the last ten seconds fit. */
static void
a_ride_is_kept_in_steps(void **state)
{
    struct evening evening;

    begin(&evening, *state);
    for (int i = 1; i <= 60 * 50; i++) {
        evening.now_ms += 20;
        move(&evening, 0, 0, -10 - 0.01 * i);
    }
    assert_near(was_db(&evening, 0, 0), -10 - 0.01 * 50 * 50, 0.01 * 50 * GRACE_MS / 1000 + 1e-9);
    finish(&evening);
}

/* More moves than it keeps: the oldest are let go, the newest are there. */
static void
more_than_it_keeps_are_let_go(void **state)
{
    struct evening evening;

    begin(&evening, *state);
    for (int i = 0; i < 3 * LATELY_MOVES; i++) {
        evening.now_ms += 2;
        move(&evening, i % INPUTS, i / INPUTS % MIXES, -11 - 0.01 * i);
    }
    for (int i = 3 * LATELY_MOVES - INPUTS * MIXES; i < 3 * LATELY_MOVES; i++) {
        double was = was_db(&evening, i % INPUTS, i / INPUTS % MIXES);

        assert_true(was > -11 - 0.01 * i && was < -10);
    }
    finish(&evening);
}

/* ---- by chance ---- */

enum { PLACES = 4, MOVES = 400 };

struct history {
    int count[PLACES];
    double db[PLACES][MOVES + 1];
    int64_t at_ms[PLACES][MOVES + 1]; /* from then on it was that */
};

/* Whether it was that at some time of ten seconds before, and of the grace behind them. */
static bool
was_so(const struct history *history, int place, double db, int64_t now_ms)
{
    for (int i = 0; i < history->count[place]; i++) {
        bool last = i == history->count[place] - 1;
        int64_t from_ms = history->at_ms[place][i];
        int64_t to_ms = last ? INT64_MAX : history->at_ms[place][i + 1];

        if (history->db[place][i] == db && from_ms <= now_ms - LATELY_MS + GRACE_MS &&
            to_ms >= now_ms - LATELY_MS)
            return true;
    }
    return false;
}

static void
it_is_what_the_desk_was(void **state)
{
    struct dice dice = dice_new();
    static struct history history;
    struct evening evening;

    begin(&evening, *state);
    for (int place = 0; place < PLACES; place++) {
        history.db[place][0] = -10;
        history.at_ms[place][0] = 0;
        history.count[place] = 1;
    }
    for (int i = 0; i < MOVES; i++) {
        int place = dice_below(&dice, PLACES);
        int at = history.count[place]++;

        evening.now_ms += dice_below(&dice, 3) ? dice_below(&dice, 100) : dice_below(&dice, 4000);
        history.db[place][at] = -11 - 0.1 * i; /* each but once */
        history.at_ms[place][at] = evening.now_ms;
        move(&evening, place, 1, -11 - 0.1 * i);
        for (int other = 0; other < PLACES; other++)
            assert_true(was_so(&history, other, was_db(&evening, other, 1), evening.now_ms));
    }
    finish(&evening);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(a_move_is_undone_for_ten_seconds), RIG_TEST(the_oldest_of_several_moves_counts),
        RIG_TEST(a_ride_is_kept_in_steps),          RIG_TEST(more_than_it_keeps_are_let_go),
        RIG_TEST(it_is_what_the_desk_was),
    };

    return cmocka_run_group_tests_name("lately", tests, NULL, NULL);
}
