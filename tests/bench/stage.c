/* SPDX-License-Identifier: MIT */
/* CPU of a stage plan of 64 microphones x 32 loudspeakers in 31 bands: air and desk, both bounds in
 * every band, all that helps; and the same after one changed value of the desk, when the air stays. The
 * peer is one bound in plain C: power iteration of one 32 x 32 matrix, which is what one band costs who
 * knows nothing of its parts. NumPy stands beside it in stage_numpy.py.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "big_desk.h"
#include "rig.h"
#include "stage/help.h"
#include "stage/margin.h"

enum { STANDS = 64, WEDGES = 32, ROUNDS = 5, PEERS = 1000 };

#define GOAL_MS 1000.0

static const enum param_id reads[] = {LOOPS_READS, PARAMS};

static double
spread(int at, int of, double metres)
{
    return metres * ((at * 37 % of) / (double)of - 0.5);
}

static struct stage *
make_stage(void)
{
    struct stage *stage = stage_new();

    for (int i = 0; i < STANDS; i++) {
        struct stage_microphone *one = stage_add_microphone(stage);

        one->inputs = (struct serves){1, {i}};
        one->placed = true;
        one->mouth_m.number = 0.1;
        one->at = (struct place){spread(i, STANDS, 14), spread(i * 5, STANDS, 8), 1.5};
    }
    for (int i = 0; i < WEDGES; i++) {
        struct stage_loudspeaker *one = stage_add_loudspeaker(stage);
        struct stage_ears *ears = stage_add_ears(stage);

        one->mixes = (struct serves){1, {i}};
        one->placed = true;
        one->at = (struct place){spread(i, WEDGES, 14), spread(i * 3, WEDGES, 8), 0.3};
        ears->mix = i;
        ears->at = (struct place){one->at.x_m, one->at.y_m + 1.5, 1.7};
    }
    return stage;
}

/* What everything costs but the air. */
static double
desk_and_all(struct loops *loops, const struct desk *desk, const struct show *show, int *helped)
{
    static struct help helps[HELPS_MOST];
    struct verdict verdict;
    struct look look = look_reader(desk, show, reads, &verdict);

    loops_hear(loops, &look);
    *helped = helps_of(loops, helps);
    return margin_of_stage(loops, PHASES_WORST).db + margin_of_stage(loops, PHASES_RANDOM).db;
}

/* One bound: until the quotients are within 0.01 dB. */
static double
plain_bound(double rows[WEDGES][WEDGES])
{
    double x[WEDGES], y[WEDGES], least = 0, most = HUGE_VAL;

    for (int i = 0; i < WEDGES; i++)
        x[i] = 1;
    while (most > least * RADIUS_CLOSE) {
        double largest = 0;

        least = HUGE_VAL;
        most = 0;
        for (int i = 0; i < WEDGES; i++) {
            y[i] = 0;
            for (int k = 0; k < WEDGES; k++)
                y[i] += rows[i][k] * x[k];
            least = fmin(least, y[i] / x[i]);
            most = fmax(most, y[i] / x[i]);
            largest = fmax(largest, y[i]);
        }
        for (int i = 0; i < WEDGES; i++)
            x[i] = y[i] / largest;
    }
    return most;
}

/* ms of one, over random matrices of 60 dB. */
static double
peer_ms(void)
{
    static double rows[WEDGES][WEDGES];
    unsigned state = 1;
    double sum = 0;
    int64_t ns = 0, before;

    for (int round = 0; round < PEERS; round++) {
        for (int i = 0; i < WEDGES * WEDGES; i++) {
            state = state * 1664525u + 1013904223u;
            rows[i / WEDGES][i % WEDGES] = pow(10, -3 * (double)(state >> 8) / 16777216);
        }
        before = rig_cpu_ns();
        sum += plain_bound(rows);
        ns += rig_cpu_ns() - before;
    }
    return sum > 0 ? (double)ns / 1e6 / PEERS : 0;
}

int
main(void)
{
    double first_ms = 0, again_ms = 0, one_ms = peer_ms(), sum = 0;
    int helped = 0;

    for (int round = 0; round < ROUNDS; round++) {
        struct engine *engine = big_desk_engine(ROLE_MONITOR);
        struct stage *stage = make_stage();
        int64_t before = rig_cpu_ns();
        struct loops *loops = loops_new(stage);

        sum += desk_and_all(loops, engine_desk(engine), engine_show(engine), &helped);
        first_ms += (double)(rig_cpu_ns() - before) / 1e6 / ROUNDS;
        engine_hear(engine, PARAM_SEND_LEVEL, 7, 7, -3 - round, 2);
        before = rig_cpu_ns();
        sum += desk_and_all(loops, engine_desk(engine), engine_show(engine), &helped);
        again_ms += (double)(rig_cpu_ns() - before) / 1e6 / ROUNDS;
        loops_free(loops);
        free(stage);
        engine_free(engine);
    }
    printf(
        "a stage of %d x %d in %d bands (%d helps, margins sum to %.1f; one bound in plain C %.4f "
        "ms)\n"
        "  both bounds and all that helps   %8.2f ms = %6.0f x one bound%s\n"
        "  the same after one changed send  %8.2f ms = %6.0f x\n",
        STANDS, WEDGES, BANDS, helped, sum, one_ms, first_ms, first_ms / one_ms,
        first_ms + again_ms < GOAL_MS ? "" : "  goal missed", again_ms, again_ms / one_ms);
    return 0;
}
