/* SPDX-License-Identifier: MIT */
/* Random desks under random ceilings, against the definition worked out by brute force on a dense
 * grid with the gains of tests/unit/path_gain.c; and what must hold whatever the numbers are. Seed
 * printed; GW_SEED=seed has it again.
 */
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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
    assert_int_equal(one->input, other->input);
    assert_same_number(one->db, other->db);
    assert_same_number(one->hz, other->hz);
}

/* Told what moved, it says what one does that begins anew. */
static void
test_told_what_moved_it_is_as_anew(void **state)
{
    struct world world = {.dice = dice_new()};

    (void)state;
    for (int i = 0; i < DESKS / 4; i++) {
        begin(&world, MOVES_MOST);
        leave(&world);
        for (int step = 0; step < STEPS; step++) {
            struct proof_move move = proof_shake(&world.dice, world.now);
            struct proof *anew = proof_new(world.now, world.show, &world.kept);

            proof_moved(world.proof, move.id, move.row, move.column);
            for (int mix = 0; mix < PROOF_MIXES; mix++) {
                const struct proof_mix *one = proof_of_mix(world.proof, mix);
                const struct proof_mix *other = proof_of_mix(anew, mix);

                assert_int_equal(one->state, other->state);
                assert_same_figure(&one->margin, &other->margin);
                assert_same_figure(&one->alone, &other->alone);
                assert_same_number(one->counted_db, other->counted_db);
                assert_same_number(one->lost_db, other->lost_db);
            }
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
