/* SPDX-License-Identifier: MIT */
/* When a watch works out what is left of a proof: at once where a path of the mix may have risen, else
 * at most ten times a second.
 */
#include "check/check.h"
#include "proof/kept.h"
#include "rig.h"
#include "unit.h"

enum { INPUTS = 4, MIXES = 3, EVERY_MS = 100 };

struct proved_rig {
    struct rig rig;
    struct proof_ceiling ceiling;
    struct proofs proofs;
};

static int
make(void **state)
{
    static struct proved_rig proved;
    struct check_set set = {{NULL}};

    proved = (struct proved_rig){.ceiling = {.mix = -1}};
    *state = &proved;
    set.of[CHECK_MARGIN_LEFT] = check_set_all.of[CHECK_MARGIN_LEFT];
    rig_start_set(&proved.rig, INPUTS, MIXES, set);
    for (int mix = 0; mix < MIXES; mix++) {
        proved.rig.show->mixes[mix].feeds = FEEDS_WEDGE;
        for (int input = 0; input < INPUTS; input++)
            rig_set(&proved.rig, PARAM_SEND_LEVEL, input, mix, -10);
    }
    proved.ceiling.desk = desk_copy(proved.rig.desk);
    proved.proofs = (struct proofs){&proved.ceiling, 1, NULL, 0, desk_copy(proved.rig.desk), {0}};
    engine_set_proofs(proved.rig.engine, &proved.proofs);
    engine_hold(proved.rig.engine, true);
    rig_run(&proved.rig);
    proved.rig.now_ms += EVERY_MS;
    return 0;
}

static int
drop(void **state)
{
    struct proved_rig *proved = *state;

    engine_free(proved->rig.engine);
    desk_free(proved->ceiling.desk);
    desk_free(proved->proofs.left);
    return 0;
}

/* How many mixes were judged when that moved. */
static size_t
move(struct rig *rig, enum param_id id, int row, int column, double number)
{
    rig_set(rig, id, row, column, number);
    rig_run(rig);
    return rig->ran;
}

static void
a_rise_is_judged_at_once(void **state)
{
    struct rig *rig = *state;

    assert_int_equal(move(rig, PARAM_SEND_LEVEL, 1, 2, -9), MIXES); /* none was for long */
    for (int i = 0; i < 20; i++) {
        rig->now_ms += 1;
        assert_int_equal(move(rig, PARAM_SEND_LEVEL, 1, 2, -8.9 + i / 10.0), 1);
    }
    rig->now_ms += 1;
    assert_int_equal(move(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 31), MIXES);
}

static void
what_falls_is_judged_ten_times_a_second(void **state)
{
    static const struct {
        enum param_id id;
        int column;
        double from, by;
    } moves[] = {{PARAM_SEND_LEVEL, 2, -10, -0.1},
                 {PARAM_INPUT_PREAMP_GAIN, 0, 30, -0.1},
                 {PARAM_INPUT_FADER, 0, 0, -0.1},
                 {PARAM_INPUT_PAD, 0, 0, 0.1}};
    struct rig *rig = *state;

    for (size_t row = 0; row < COUNT(moves); row++) {
        size_t ran = 0;

        for (int i = 1; i <= 200; i++) {
            ran +=
                move(rig, moves[row].id, 1, moves[row].column, moves[row].from + moves[row].by * i);
            rig->now_ms += 5;
        }
        assert_row(params[moves[row].id].name, ran >= 9 * MIXES && ran <= 11 * MIXES, true);
    }
}

/* Or each mix would wake it up by itself. */
static void
all_that_wait_are_judged_together(void **state)
{
    struct rig *rig = *state;
    int runs = 0;

    for (int mix = 0; mix < MIXES; mix++) {
        rig->now_ms += 23;
        assert_int_equal(move(rig, PARAM_SEND_LEVEL, 1, mix, -9), mix == 0 ? MIXES : 1);
        move(rig, PARAM_SEND_LEVEL, 1, mix, -12);
    }
    for (int64_t last_ms = rig->now_ms + EVERY_MS; rig->now_ms < last_ms; rig->now_ms++) {
        rig_run(rig);
        runs += rig->ran > 0;
    }
    assert_int_equal(runs, 1);
    assert_int_equal(engine_marked(rig->engine), 0);
}

/* What was not judged wakes it up. */
static void
what_waits_is_judged_in_time(void **state)
{
    struct rig *rig = *state;
    int64_t turn_ms = (rig->now_ms / EVERY_MS + 1) * EVERY_MS;

    assert_int_equal(move(rig, PARAM_SEND_LEVEL, 1, 2, -11), MIXES);
    rig->now_ms += 10;
    assert_true(rig->now_ms < turn_ms);
    assert_int_equal(move(rig, PARAM_SEND_LEVEL, 1, 2, -12), 0);
    assert_int_equal(engine_next_ms(rig->engine), turn_ms);
    assert_true(engine_marked(rig->engine) > 0);
    rig->now_ms = turn_ms;
    rig_run(rig);
    assert_int_equal(rig->ran, MIXES);
    assert_int_equal(engine_marked(rig->engine), 0);
}

/* What a switch or a filter does is not told by its number. */
static void
what_may_rise_counts_as_a_rise(void **state)
{
    struct rig *rig = *state;

    move(rig, PARAM_SEND_LEVEL, 1, 2, -11);
    rig->now_ms += 1;
    assert_int_equal(move(rig, PARAM_MIX_GRAPHIC_ON, 2, 0, 0), 1);
    rig->now_ms += 1;
    assert_int_equal(move(rig, PARAM_INPUT_HIGH_PASS_FREQ, 1, 0, 200), MIXES);
    rig->now_ms += 1;
    assert_int_equal(move(rig, PARAM_INPUT_MUTE, 1, 0, 1), 0);
    rig->now_ms += 1;
    assert_int_equal(move(rig, PARAM_INPUT_MUTE, 1, 0, 0), MIXES);
}

/* An audit looks once. */
static void
without_holds_all_is_judged_at_once(void **state)
{
    struct rig *rig = *state;

    engine_hold(rig->engine, false);
    move(rig, PARAM_SEND_LEVEL, 1, 2, -11);
    assert_int_equal(move(rig, PARAM_SEND_LEVEL, 1, 2, -12), MIXES);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, make, drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_rise_is_judged_at_once),          TEST(what_falls_is_judged_ten_times_a_second),
        TEST(all_that_wait_are_judged_together), TEST(what_waits_is_judged_in_time),
        TEST(what_may_rise_counts_as_a_rise),    TEST(without_holds_all_is_judged_at_once),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
