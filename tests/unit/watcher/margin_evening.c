/* SPDX-License-Identifier: MIT */
/* Evenings in which hands undo a ring-out step by step, over random small desks with a printed seed:
 * what a mix has lost by its own paths is worked out here from the numbers that were moved, and the
 * watch tells that mix, in time, and no other.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "check/check.h"
#include "proof/kept.h"
#include "unit.h"
#include "watch_rig.h"

enum { INPUTS = 5, MIXES = 4, EVENINGS = 60, SLIPS = 90, HANDS = 12, SECOND_MS = 1000 };

/* The desk was rung out with all open, 6 dB below what did not ring. */
#define PROVED_DB 6.0

struct evening {
    struct watch_rig *rig;
    struct dice dice;
    struct proof_ceiling ceiling;
    struct proofs proofs;
    double preamp_db[INPUTS], send_db[INPUTS][MIXES], master_db[MIXES]; /* up since */
    bool open[INPUTS][MIXES];
    bool told[MIXES]; /* as people know */
};

static void
on_message(void *context, const struct message *message)
{
    struct evening *evening = context;

    for (size_t i = 0; i < message->count; i++) {
        const struct edge *edge = &message->edges[i];

        if (edge->finding->check->number == CHECK_MARGIN_LEFT)
            evening->told[edge->finding->object.mix] =
                edge->kind != EDGE_CLEARED && edge->kind != EDGE_ENDS;
    }
}

/* By how much the path of the mix that rose the most did. */
static double
rise_db(const struct evening *evening, int mix)
{
    double most_db = 0;

    for (int input = 0; input < INPUTS; input++)
        if (evening->open[input][mix])
            most_db = fmax(most_db, evening->preamp_db[input] + evening->send_db[input][mix] +
                                        evening->master_db[mix]);
    return most_db;
}

/* ---- the desk ---- */

static double
send_at(const struct evening *evening, int input, int mix)
{
    return -20 + 2 * input + mix + evening->send_db[input][mix];
}

static void
begin(struct evening *evening)
{
    struct watch_rig *rig = evening->rig;
    struct show *show;

    watch_rig_start(rig, INPUTS, MIXES, ROOM_DOORS);
    show = rig->rig.show;
    for (int check = 0; check < CHECKS; check++)
        show->checks[check].off |= check != CHECK_MARGIN_LEFT;
    rig->also = on_message;
    rig->also_context = evening;
    memset(evening->preamp_db, 0, sizeof evening->preamp_db);
    memset(evening->send_db, 0, sizeof evening->send_db);
    memset(evening->master_db, 0, sizeof evening->master_db);
    memset(evening->told, 0, sizeof evening->told);
    for (int mix = 0; mix < MIXES; mix++) {
        show->mixes[mix].feeds = FEEDS_WEDGE;
        rig_set(&rig->rig, PARAM_MIX_FADER, mix, 0, -3);
    }
    for (int input = 0; input < INPUTS; input++) {
        show->inputs[input].source = rig_source("vocal");
        for (int mix = 0; mix < MIXES; mix++) {
            evening->open[input][mix] = input == mix || dice_below(&evening->dice, 2) == 0;
            rig_set(&rig->rig, PARAM_SEND_LEVEL, input, mix,
                    evening->open[input][mix] ? send_at(evening, input, mix) : -HUGE_VAL);
        }
    }
    evening->ceiling = (struct proof_ceiling){.desk = desk_copy(rig->rig.desk), .mix = -1};
    for (int mix = 0; mix < MIXES; mix++)
        desk_set(evening->ceiling.desk, PARAM_MIX_FADER, mix, 0, -3 + PROVED_DB, 1000);
    evening->proofs = (struct proofs){&evening->ceiling, 1, NULL, 0, desk_copy(rig->rig.desk), {0}};
    engine_set_proofs(rig->rig.engine, &evening->proofs);
    watch_rig_begin(rig);
    watch_rig_forget(rig);
}

static void
end(struct evening *evening)
{
    engine_set_proofs(evening->rig->rig.engine, NULL);
    desk_free(evening->ceiling.desk);
    desk_free(evening->proofs.left);
}

/* ---- hands ---- */

static void
raise_preamp(struct evening *evening, int input, double db)
{
    evening->preamp_db[input] += db;
    watch_rig_move(evening->rig, PARAM_INPUT_PREAMP_GAIN, input, 0, 30 + evening->preamp_db[input]);
}

static void
raise_master(struct evening *evening, int mix, double db)
{
    evening->master_db[mix] += db;
    watch_rig_move(evening->rig, PARAM_MIX_FADER, mix, 0, -3 + evening->master_db[mix]);
}

static void
raise_send(struct evening *evening, int input, int mix, double db)
{
    if (!evening->open[input][mix])
        return;
    evening->send_db[input][mix] += db;
    watch_rig_move(evening->rig, PARAM_SEND_LEVEL, input, mix, send_at(evening, input, mix));
}

static void
raise_something(struct evening *evening, double db)
{
    int input = dice_below(&evening->dice, INPUTS), mix = dice_below(&evening->dice, MIXES);

    switch (dice_below(&evening->dice, 4)) {
    case 0:
        raise_preamp(evening, input, db);
        break;
    case 1:
        raise_master(evening, mix, db);
        break;
    default:
        raise_send(evening, input, mix, db);
    }
}

/* What the numbers say, give or take what they lose on their way. */
static void
check_told(const struct evening *evening)
{
    for (int mix = 0; mix < MIXES; mix++) {
        double db = rise_db(evening, mix);

        if (db > 3.01 && !evening->told[mix])
            fail_msg("mix %d rose by %.2f dB, and nobody was told", mix + 1, db);
        if (db < 1.49 && evening->told[mix])
            fail_msg("mix %d rose by %.2f dB alone, and was told", mix + 1, db);
    }
}

static void
hands_that_undo_a_ring_out_are_told(void **state)
{
    struct evening evening = {.rig = *state, .dice = dice_new()};
    int told = 0, quiet = 0;

    for (int i = 0; i < EVENINGS; i++) {
        begin(&evening);
        for (int hand = 0; hand < HANDS; hand++) {
            raise_something(&evening, dice_between(&evening.dice, 0.3, 2));
            watch_rig_pass(evening.rig, 8 * SECOND_MS); /* its hold, and company */
            check_told(&evening);
            watch_rig_forget(evening.rig);
        }
        for (int mix = 0; mix < MIXES; mix++)
            *(evening.told[mix] ? &told : &quiet) += 1;
        end(&evening);
    }
    printf("%d evenings: %d mixes told, %d not\n", EVENINGS, told, quiet);
    assert_true(told > EVENINGS / 2 && quiet > 0);
}

/* ---- one slip ---- */

static void
one_slip_is_told_of_that_mix_alone(void **state)
{
    static const double slips_db[] = {0.5, 7, 9};
    struct evening evening = {.rig = *state, .dice = dice_new()};

    for (int i = 0; i < SLIPS; i++) {
        double db = slips_db[(size_t)i % COUNT(slips_db)];
        int mix = dice_below(&evening.dice, MIXES);

        begin(&evening);
        if (dice_below(&evening.dice, 2) == 0)
            raise_master(&evening, mix, db);
        else
            raise_send(&evening, mix, mix, db);
        watch_rig_pass(evening.rig, 8 * SECOND_MS);
        for (int other = 0; other < MIXES; other++)
            assert_int_equal(evening.told[other], other == mix && db > 1);
        end(&evening);
    }
}

/* Past what was proved: within the hold of the check, without waiting for company. */
static void
what_passes_is_told_at_once(void **state)
{
    struct evening evening = {.rig = *state, .dice = dice_new()};

    begin(&evening);
    raise_master(&evening, 1, 7);
    watch_rig_pass(evening.rig, 1500);
    assert_true(evening.told[1]);
    assert_int_equal(evening.rig->weights[0], WEIGHT_FIX);
    raise_master(&evening, 1, -7);
    watch_rig_pass(evening.rig, 30 * SECOND_MS);
    assert_false(evening.told[1]);
    end(&evening);
}

/* Two mixes past leave each other no proof, but what one of them rose by is known all the while. */
static void
what_is_put_back_clears_though_another_is_past(void **state)
{
    struct evening evening = {.rig = *state, .dice = dice_new()};

    begin(&evening);
    raise_master(&evening, 1, 7);
    raise_master(&evening, 2, 8);
    watch_rig_pass(evening.rig, 8 * SECOND_MS);
    assert_true(evening.told[1] && evening.told[2]);
    raise_master(&evening, 1, -7);
    watch_rig_pass(evening.rig, 30 * SECOND_MS);
    assert_false(evening.told[1]);
    assert_true(evening.told[2]);
    assert_int_equal(rig_judge_mix(&evening.rig->rig, "margin-left", 1)->outcome,
                     OUTCOME_NOT_KNOWN);
    raise_master(&evening, 2, -7.5); /* not all of it, and little enough */
    watch_rig_pass(evening.rig, 30 * SECOND_MS);
    assert_false(evening.told[2]);
    end(&evening);
}

/* Mutes, cuts and sends down take nothing away of what is counted. */
static void
what_falls_is_told_of_nobody(void **state)
{
    struct evening evening = {.rig = *state, .dice = dice_new()};

    for (int i = 0; i < EVENINGS / 4; i++) {
        begin(&evening);
        for (int hand = 0; hand < HANDS; hand++) {
            int input = dice_below(&evening.dice, INPUTS), mix = dice_below(&evening.dice, MIXES);

            if (hand % 3 == 0)
                watch_rig_move(evening.rig, PARAM_INPUT_MUTE, input, 0, hand % 2);
            else if (hand % 3 == 1)
                watch_rig_move(evening.rig, PARAM_MIX_GRAPHIC_BAND_GAIN, mix,
                               dice_below(&evening.dice, 31), -6);
            else
                raise_send(&evening, input, mix, -dice_between(&evening.dice, 0.5, 6));
            watch_rig_pass(evening.rig, 8 * SECOND_MS);
        }
        assert_string_equal(evening.rig->text, "");
        end(&evening);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        WATCH_RIG_TEST(hands_that_undo_a_ring_out_are_told),
        WATCH_RIG_TEST(one_slip_is_told_of_that_mix_alone),
        WATCH_RIG_TEST(what_passes_is_told_at_once),
        WATCH_RIG_TEST(what_is_put_back_clears_though_another_is_past),
        WATCH_RIG_TEST(what_falls_is_told_of_nobody),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
