/* SPDX-License-Identifier: MIT */
/* CPU of the proved margin on a desk of 48 inputs x 24 mixes under 12 ceilings, after one changed
 * send. The peer is that path's own gain curve in the same run: its level and the response of its
 * filters at the places at which the bound looks.
 */
#include <math.h>
#include <stdio.h>

#include "check/check.h"
#include "proof/proof.h"
#include "proof/tone.h"
#include "rig.h"

enum { INPUTS = 48, MIXES = 24, CEILINGS = 12, ROUNDS = 2000, WHOLE_ROUNDS = 3 };

#define GOAL 20.0

static const struct {
    enum param_id id;
    double number;
} plain[] = {
    {PARAM_INPUT_PREAMP_GAIN, 30},
    {PARAM_INPUT_MUTE, 0},
    {PARAM_INPUT_FADER, 0},
    {PARAM_INPUT_HIGH_PASS_ON, 1},
    {PARAM_INPUT_HIGH_PASS_FREQ, 120},
    {PARAM_INPUT_HIGH_PASS_SLOPE, 18},
    {PARAM_INPUT_EQ_BAND_FREQ, 2500},
    {PARAM_INPUT_EQ_BAND_GAIN, -3},
    {PARAM_INPUT_EQ_BAND_Q, 2},
    {PARAM_SEND_LEVEL, -6},
    {PARAM_SEND_TAP, TAP_PRE_FADER},
    {PARAM_MIX_FADER, 0},
    {PARAM_MIX_GRAPHIC_BAND_GAIN, 0},
    {PARAM_MIX_EQ_BAND_FREQ, 1600},
    {PARAM_MIX_EQ_BAND_GAIN, -3},
    {PARAM_MIX_EQ_BAND_Q, 8},
    {PARAM_GROUP_FADER, 0},
};

static void
put(struct desk *desk, enum param_id id, int row, int column, double number)
{
    desk_set(desk, id, row, column, number, 1);
}

/* Six cuts in each graphic. */
static struct desk *
make_desk(void)
{
    static const struct desk_counts counts = {.of = {[INDEX_INPUT] = INPUTS,
                                                     [INDEX_MIX] = MIXES,
                                                     [INDEX_GROUP] = 8,
                                                     [INDEX_INPUT_EQ_BAND] = 4,
                                                     [INDEX_MIX_EQ_BAND] = 4,
                                                     [INDEX_MIX_GRAPHIC_BAND] = 31}};
    struct desk *desk = desk_new(&counts);

    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        desk_supply(desk, plain[i].id, SUPPLY_HEARD);
        for (int row = 0; row < desk_rows(desk, plain[i].id); row++)
            for (int column = 0; column < desk_columns(desk, plain[i].id); column++)
                put(desk, plain[i].id, row, column, plain[i].number);
    }
    for (int mix = 0; mix < MIXES; mix++)
        for (int band = 8; band < 26; band += 3)
            put(desk, PARAM_MIX_GRAPHIC_BAND_GAIN, mix, band, -6);
    return desk;
}

/* As after a ring-out: all together, and mixes pushed; in the older half a cut was not made yet. */
static void
make_ceilings(const struct desk *desk, struct proof_ceiling ceilings[CEILINGS])
{
    for (int i = 0; i < CEILINGS; i++) {
        ceilings[i] = (struct proof_ceiling){.desk = desk_copy(desk), .mix = -1, .step_db = 1};
        for (int mix = 0; mix < MIXES; mix++) {
            put(ceilings[i].desk, PARAM_MIX_FADER, mix, 0, i == 0 ? 6 : mix == i ? 9 : 0);
            if (i < CEILINGS / 2)
                put(ceilings[i].desk, PARAM_MIX_GRAPHIC_BAND_GAIN, mix, 23, 0);
        }
    }
}

/* The peer, us. */
static double
curve_us(const struct desk *desk)
{
    static const enum param_id reads[] = {PATH_LEVEL_READS, PATH_INPUT_FILTER_READS,
                                          PATH_MIX_FILTER_READS, PARAMS};
    struct filters of_input, of_mix;
    struct path_level level;
    double sum_db = 0;
    int64_t before = rig_cpu_ns();

    for (int round = 0; round < ROUNDS; round++) {
        struct verdict aside;
        struct look look = look_reader(desk, NULL, reads, &aside);

        path_level(&look, 17, 3, &level);
        path_input_filters(&look, 17, &of_input);
        path_mix_filters(&look, 3, &of_mix);
        for (int i = 0; i < TONE_PLACES; i++)
            sum_db += level.sum_db + filters_db(&of_input, tone_place_hz(i)) +
                      filters_db(&of_mix, tone_place_hz(i));
        for (int i = 0; i < of_mix.count; i++)
            sum_db += level.sum_db + filters_db(&of_input, of_mix.controls[i].freq_hz) +
                      filters_db(&of_mix, of_mix.controls[i].freq_hz);
    }
    if (!isfinite(sum_db))
        puts("  no curve: nothing was measured");
    return (double)(rig_cpu_ns() - before) / 1e3 / ROUNDS;
}

static double
send_us(struct desk *desk, struct proof *proof)
{
    double sum_db = 0;
    int64_t before = rig_cpu_ns();

    for (int round = 0; round < ROUNDS; round++) {
        put(desk, PARAM_SEND_LEVEL, 17, 3, round % 2 ? -6 : -5);
        proof_moved(proof, PARAM_SEND_LEVEL, 17, 3);
        for (int mix = 0; mix < MIXES; mix++)
            sum_db += proof_of_mix(proof, mix)->margin.db;
    }
    if (!isfinite(sum_db))
        puts("  no margin: nothing was measured");
    return (double)(rig_cpu_ns() - before) / 1e3 / ROUNDS;
}

static double
whole_ms(const struct desk *desk, const struct show *show, const struct proofs *kept)
{
    int64_t before = rig_cpu_ns();

    for (int round = 0; round < WHOLE_ROUNDS; round++) {
        struct proof *proof = proof_new(desk, show, kept);

        proof_of_mix(proof, 0);
        proof_free(proof);
    }
    return (double)(rig_cpu_ns() - before) / 1e6 / WHOLE_ROUNDS;
}

int
main(void)
{
    struct desk *desk = make_desk();
    struct show *show = check_set_show(check_set_all, INPUTS, MIXES);
    struct proof_ceiling ceilings[CEILINGS];
    struct proofs kept = {.ceilings = ceilings, .ceiling_count = CEILINGS, .left = desk_copy(desk)};
    struct proof *proof;
    double curve, send;

    for (int mix = 0; mix < MIXES; mix++)
        show->mixes[mix].feeds = FEEDS_WEDGE;
    make_ceilings(desk, ceilings);
    proof = proof_new(desk, show, &kept);
    proof_of_mix(proof, 0);
    curve = curve_us(desk);
    send = send_us(desk, proof);
    printf("the proved margin of %d inputs x %d mixes under %d ceilings (goal: at most %.0f x)\n",
           INPUTS, MIXES, CEILINGS, GOAL);
    printf("  after one send               %8.1f us = %5.2f x the path's own curve (%.1f us)%s\n",
           send, send / curve, curve, send / curve <= GOAL ? "" : "  goal missed");
    printf("  from nothing                 %8.1f ms\n", whole_ms(desk, show, &kept));
    proof_free(proof);
    for (int i = 0; i < CEILINGS; i++)
        desk_free(ceilings[i].desk);
    desk_free(kept.left);
    desk_free(desk);
    show_free(show);
    return 0;
}
