/* SPDX-License-Identifier: MIT */
/* Random desks under random ceilings, against the definition worked out by brute force on a dense
 * grid with the gains of tests/unit/path_gain.c; and what must hold whatever the numbers are. Seed
 * printed; GW_SEED=seed has it again.
 */
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "desk/source.h"
#include "proof_desk.h"

enum { DESKS = 60, CEILINGS = 3, DENSE = 60 * 8 + 1, MOVES_MOST = 6, STEPS = 40 };

struct world {
    struct dice dice;
    struct desk *now;
    struct show *show;
    struct proof_ceiling ceilings[CEILINGS];
    struct proofs kept;
    struct proof *proof;
};

static void
begin(struct world *world, int moves)
{
    struct desk *desk = proof_desk_plain();

    world->show = proof_desk_show();
    for (int i = 0; i < 10; i++)
        proof_shake(&world->dice, desk);
    for (int i = 0; i < CEILINGS; i++) {
        world->ceilings[i] = proof_ceiling_of(desk, -1);
        for (int move = dice_below(&world->dice, moves + 1); move > 0; move--)
            proof_shake(&world->dice, world->ceilings[i].desk);
        for (int mix = 0; mix < PROOF_MIXES; mix++)
            proof_add(world->ceilings[i].desk, PARAM_MIX_FADER, mix, 0,
                      dice_between(&world->dice, 0, 8));
    }
    world->now = desk;
    world->kept =
        (struct proofs){.left = NULL, .ceilings = world->ceilings, .ceiling_count = CEILINGS};
    world->proof = proof_new(world->now, world->show, &world->kept);
}

static void
end(struct world *world)
{
    proof_free(world->proof);
    for (int i = 0; i < CEILINGS; i++)
        desk_free(world->ceilings[i].desk);
    desk_free(world->now);
    desk_free(world->kept.left);
    show_free(world->show);
}

/* ---- brute force ---- */

static double
dense_hz(int i)
{
    return 60 * pow(16000.0 / 60, i / (DENSE - 1.0));
}

/* The least gap of one mix; HUGE_VAL: no path is open. */
static double
brute_gap_db(const struct desk *ceiling, const struct desk *now, int mix)
{
    double least_db = HUGE_VAL;

    for (int input = 0; input < PROOF_INPUTS; input++)
        for (int i = 0; i < DENSE; i++) {
            double is_db = proof_peer_db(now, input, mix, dense_hz(i));

            if (is_db == -HUGE_VAL)
                break;
            least_db = fmin(least_db, proof_peer_db(ceiling, input, mix, dense_hz(i)) - is_db);
        }
    return least_db;
}

struct brute {
    double gaps[CEILINGS][PROOF_MIXES];
};

static void
brute_of(const struct world *world, struct brute *brute)
{
    for (int i = 0; i < CEILINGS; i++)
        for (int mix = 0; mix < PROOF_MIXES; mix++)
            brute->gaps[i][mix] = brute_gap_db(world->ceilings[i].desk, world->now, mix);
}

/* The largest rise of the mix under one ceiling; -HUGE_VAL: there is none. `slack_db`: the others
 * may pass by so much. */
static double
brute_margin_db(const struct brute *brute, int mix, double slack_db)
{
    double best_db = -HUGE_VAL;

    for (int i = 0; i < CEILINGS; i++) {
        bool covered = true;

        for (int other = 0; other < PROOF_MIXES; other++)
            covered &= other == mix || brute->gaps[i][other] >= -slack_db;
        if (covered)
            best_db = fmax(best_db, brute->gaps[i][mix]);
    }
    return best_db;
}

/* Without its allowance. */
static double
bare_db(const struct proof_figure *figure)
{
    return figure->ceiling < 0 ? -HUGE_VAL : figure->db + figure->allowance_db;
}

/* The program's places are fewer than the dense ones and have the centres besides: a tenth of a dB
 * either way, and what passes by less than that may count or not. */
static void
test_it_is_the_definition(void **state)
{
    struct world world = {.dice = dice_new()};
    struct brute brute;
    int numbers = 0;

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        begin(&world, MOVES_MOST);
        brute_of(&world, &brute);
        for (int mix = 0; mix < PROOF_MIXES; mix++) {
            const struct proof_mix *of = proof_of_mix(world.proof, mix);
            double low = brute_margin_db(&brute, mix, -0.1),
                   high = brute_margin_db(&brute, mix, 0.1);
            double best = -HUGE_VAL;

            if (of->state == PROOF_CLOSED) {
                assert_true(brute.gaps[0][mix] == HUGE_VAL);
                continue;
            }
            for (int k = 0; k < CEILINGS; k++)
                best = fmax(best, brute.gaps[k][mix]);
            if (of->alone.ceiling >= 0)
                assert_true(bare_db(&of->alone) <= best + 0.1);
            if (of->state != PROOF_LEFT) {
                assert_true(low == -HUGE_VAL);
                continue;
            }
            numbers++;
            /* the one with the least allowance need not be the one with the largest gap */
            assert_true(bare_db(&of->margin) <= high + 0.1);
            assert_true(of->margin.db >= low - ALLOWANCE_MOST_DB - 0.1);
        }
        end(&world);
    }
    assert_true(numbers > DESKS / 4);
}

/* ---- what must hold ---- */

static void
take_all(struct proof *proof, double to[PROOF_MIXES + 1])
{
    for (int mix = 0; mix < PROOF_MIXES; mix++)
        to[mix] = proof_of_mix(proof, mix)->state == PROOF_LEFT
                      ? proof_of_mix(proof, mix)->margin.db
                      : -HUGE_VAL;
    to[PROOF_MIXES] = proof_of_desk(proof)->ceiling >= 0 ? proof_of_desk(proof)->db : -HUGE_VAL;
}

static void
move_masters(struct world *world, double db)
{
    for (int mix = 0; mix < PROOF_MIXES; mix++) {
        proof_add(world->now, PARAM_MIX_FADER, mix, 0, db);
        proof_moved(world->proof, PARAM_MIX_FADER, mix, 0);
    }
}

/* As the ring-out left it, it stands now. */
static void
leave(struct world *world)
{
    world->kept.left = desk_copy(world->now);
    proof_free(world->proof);
    world->proof = proof_new(world->now, world->show, &world->kept);
}

/* Everything lower by 2 dB: the desk has 2 dB more, allowances and all. */
static void
test_scaling_everything(void **state)
{
    struct world world = {.dice = dice_new()};
    double was[PROOF_MIXES + 1], is[PROOF_MIXES + 1];

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        begin(&world, 2);
        leave(&world);
        take_all(world.proof, was);
        move_masters(&world, -2);
        take_all(world.proof, is);
        if (was[PROOF_MIXES] > -HUGE_VAL)
            assert_near(is[PROOF_MIXES], was[PROOF_MIXES] + 2, 1e-6);
        end(&world);
    }
}

/* A path that rises never leaves more, without allowances, to any mix or the desk. */
static void
test_raising_a_path_never_helps(void **state)
{
    struct world world = {.dice = dice_new()};

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        int input = dice_below(&world.dice, PROOF_INPUTS),
            up = dice_below(&world.dice, PROOF_MIXES);
        struct brute was, is;

        begin(&world, 3);
        brute_of(&world, &was);
        proof_add(world.now, PARAM_SEND_LEVEL, input, up, dice_between(&world.dice, 0, 9));
        proof_moved(world.proof, PARAM_SEND_LEVEL, input, up);
        brute_of(&world, &is);
        for (int mix = 0; mix < PROOF_MIXES; mix++) {
            const struct proof_mix *of = proof_of_mix(world.proof, mix);

            if (of->state == PROOF_LEFT)
                assert_true(bare_db(&of->margin) <= brute_margin_db(&was, mix, 0.1) + 0.1);
        }
        end(&world);
    }
}

static void
assert_same_number(double one, double other)
{
    assert_true(isnan(one) ? isnan(other) : one == other);
}

static void
assert_same_figure(const struct proof_figure *one, const struct proof_figure *other)
{
    assert_int_equal(one->ceiling, other->ceiling);
    assert_int_equal(one->moves.kinds, other->moves.kinds);
    for (int kind = 0; kind < ALLOWANCES; kind++) {
        assert_int_equal(one->moves.of[kind].input, other->moves.of[kind].input);
        assert_int_equal(one->moves.of[kind].mix, other->moves.of[kind].mix);
    }
    assert_int_equal(one->input, other->input);
    assert_int_equal(one->mix, other->mix);
    assert_same_number(one->allowance_db, other->allowance_db);
    assert_same_number(one->db, other->db);
    assert_same_number(one->hz, other->hz);
}

static void
assert_same_mix(const struct proof_mix *one, const struct proof_mix *other)
{
    assert_int_equal(one->state, other->state);
    assert_same_figure(&one->margin, &other->margin);
    assert_same_figure(&one->alone, &other->alone);
    assert_int_equal(one->why, other->why);
    assert_int_equal(one->input, other->input);
    assert_int_equal(one->mix, other->mix);
    assert_int_equal(one->taken_mix, other->taken_mix);
    assert_int_equal(one->rose_input, other->rose_input);
    assert_int_equal(one->opened_input, other->opened_input);
    assert_same_number(one->after_db, other->after_db);
    assert_same_number(one->taken_db, other->taken_db);
    assert_same_number(one->rose_db, other->rose_db);
    assert_same_number(one->rose_hz, other->rose_hz);
    assert_same_number(one->counted_db, other->counted_db);
    assert_same_number(one->lost_db, other->lost_db);
}

static void
assert_same_since(struct proof *one, struct proof *other, int mix)
{
    for (int input = 0; input < PROOF_INPUTS; input++) {
        struct since of_one = proof_since(one, input, mix, 1000);
        struct since of_other = proof_since(other, input, mix, 1000);

        assert_int_equal(of_one.count, of_other.count);
        for (int i = 0; i < of_one.count; i++) {
            assert_int_equal(of_one.of[i].part, of_other.of[i].part);
            assert_same_number(of_one.of[i].db, of_other.of[i].db);
        }
    }
}

/* What hardly ever moves, and what is lost and heard again; by a label an input may be no loop. */
static struct proof_move
shake_rarely(struct dice *dice, struct desk *desk)
{
    static const enum param_id ids[] = {PARAM_INPUT_POLARITY, PARAM_INPUT_GATE_ON,
                                        PARAM_INPUT_DELAY,    PARAM_SEND_TAP,
                                        PARAM_MIX_DELAY,      PARAM_MIX_MUTE,
                                        PARAM_MIX_TRIM,       PARAM_SEND_LEVEL,
                                        PARAM_INPUT_EQ_ON,    PARAM_MIX_GRAPHIC_BAND_GAIN,
                                        PARAM_INPUT_NAME};
    static const char *const names[] = {"Ld Vox", "Keys DI", "?"};
    enum param_id id = ids[dice_below(dice, (int)COUNT(ids))];
    struct proof_move move = {id, dice_below(dice, desk_rows(desk, id)),
                              dice_below(dice, desk_columns(desk, id))};

    if (id == PARAM_INPUT_NAME)
        desk_set_text(desk, id, move.row, 0, names[dice_below(dice, (int)COUNT(names))], 1);
    else if (desk_value(desk, id, move.row, move.column)->state != VALUE_KNOWN)
        desk_set(desk, id, move.row, move.column, 0, 1);
    else if (dice_below(dice, 2) == 0)
        desk_set_stale(desk, id, move.row, move.column);
    else
        desk_set(desk, id, move.row, move.column, dice_below(dice, 2), 1);
    return move;
}

/* A desk whose first input is known by its label alone. */
static void
begin_labelled(struct world *world)
{
    begin(world, MOVES_MOST);
    world->show->inputs[0].source = SOURCE_UNKNOWN;
    desk_supply(world->now, PARAM_INPUT_NAME, SUPPLY_HEARD);
    leave(world);
}

/* Told what moved, it says what one does that begins anew: also where several moved meanwhile. */
static void
test_told_what_moved_it_is_as_anew(void **state)
{
    struct world world = {.dice = dice_new()};

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        begin_labelled(&world);
        for (int step = 0; step < STEPS; step++) {
            struct proof *anew;

            for (int moves = 1 + dice_below(&world.dice, 3); moves > 0; moves--) {
                struct proof_move move = dice_below(&world.dice, 4) == 0
                                             ? shake_rarely(&world.dice, world.now)
                                             : proof_shake(&world.dice, world.now);

                proof_moved(world.proof, move.id, move.row, move.column);
            }
            anew = proof_new(world.now, world.show, &world.kept);
            for (int mix = 0; mix < PROOF_MIXES; mix++) {
                assert_same_mix(proof_of_mix(world.proof, mix), proof_of_mix(anew, mix));
                assert_same_since(world.proof, anew, mix);
            }
            assert_same_figure(proof_of_desk(world.proof), proof_of_desk(anew));
            proof_free(anew);
        }
        end(&world);
    }
}

/* ---- another order ---- */

static int
turned(int index, int by, int count)
{
    return (index + by) % count;
}

/* The desk with inputs and mixes in another order. */
static struct desk *
turn(const struct desk *desk, int by)
{
    struct desk *other = desk_copy(desk);

    for (int id = 0; id < PARAMS; id++) {
        if (desk_supplied(desk, (enum param_id)id) != SUPPLY_HEARD ||
            params[id].row == INDEX_GROUP || params[id].row == INDEX_NONE)
            continue;
        for (int row = 0; row < desk_rows(desk, (enum param_id)id); row++)
            for (int column = 0; column < desk_columns(desk, (enum param_id)id); column++)
                proof_put(other, (enum param_id)id,
                          turned(row, by, desk_rows(desk, (enum param_id)id)),
                          params[id].column == INDEX_MIX ? turned(column, by, PROOF_MIXES) : column,
                          value_number(desk_value(desk, (enum param_id)id, row, column)));
    }
    return other;
}

static void
test_another_order_of_inputs_and_mixes(void **state)
{
    struct world world = {.dice = dice_new()};

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        struct proof_ceiling ceilings[CEILINGS];
        struct proofs kept = {.ceilings = ceilings, .ceiling_count = CEILINGS};
        double was[PROOF_MIXES + 1], is[PROOF_MIXES + 1];
        struct desk *now;
        struct proof *proof;

        begin(&world, MOVES_MOST);
        now = turn(world.now, 1);
        for (int k = 0; k < CEILINGS; k++)
            ceilings[k] =
                (struct proof_ceiling){.desk = turn(world.ceilings[k].desk, 1), .mix = -1};
        proof = proof_new(now, world.show, &kept);
        take_all(world.proof, was);
        take_all(proof, is);
        for (int mix = 0; mix < PROOF_MIXES; mix++)
            assert_near(is[turned(mix, 1, PROOF_MIXES)], was[mix], 1e-9);
        assert_near(is[PROOF_MIXES], was[PROOF_MIXES], 1e-9);
        proof_free(proof);
        desk_free(now);
        for (int k = 0; k < CEILINGS; k++)
            desk_free(ceilings[k].desk);
        end(&world);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_it_is_the_definition),
        cmocka_unit_test(test_scaling_everything),
        cmocka_unit_test(test_raising_a_path_never_helps),
        cmocka_unit_test(test_told_what_moved_it_is_as_anew),
        cmocka_unit_test(test_another_order_of_inputs_and_mixes),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
