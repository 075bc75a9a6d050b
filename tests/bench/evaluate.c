/* SPDX-License-Identifier: MIT */
/* CPU of the rules on a desk of 128 inputs x 64 mixes with 31-band graphics: every check on every
 * object and the gain of every path at 1 kHz, and what one changed value costs after that. The peer
 * is the full evaluation itself: a change must cost a small part of it.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "big_desk.h"
#include "check/check.h"
#include "engine/engine.h"
#include "path_gain.h"
#include "rig.h"
#include "sound/path.h"

enum { INPUTS = BIG_INPUTS, MIXES = BIG_MIXES, ROUNDS = 20, CHANGES = 2000 };

static const enum param_id reads[] = {PATH_LEVEL_READS, PATH_INPUT_FILTER_READS,
                                      PATH_MIX_FILTER_READS, PARAMS};

/* The gain of every path; their sum keeps the compiler from leaving them out. */
static double
all_paths(const struct engine *engine)
{
    double sum = 0;

    for (int input = 0; input < INPUTS; input++)
        for (int mix = 0; mix < MIXES; mix++) {
            struct verdict verdict;
            struct look look =
                look_reader(engine_desk(engine), engine_show(engine), reads, &verdict);
            double gain_db;

            if (path_gain_db(&look, input, mix, 1000, &gain_db) && isfinite(gain_db))
                sum += gain_db;
        }
    return sum;
}

int
main(void)
{
    double checks_ms = 0, paths_ms = 0, change_ms, sum = 0;
    struct engine *engine = NULL;
    int64_t before;
    size_t ran = 0, unknown = 0;

    for (int round = 0; round < ROUNDS; round++) {
        engine_free(engine);
        engine = big_desk_engine(ROLE_UNKNOWN);
        before = rig_cpu_ns();
        ran = engine_run(engine, 1, NULL, NULL);
        checks_ms += (double)(rig_cpu_ns() - before) / 1e6 / ROUNDS;
        before = rig_cpu_ns();
        sum += all_paths(engine);
        paths_ms += (double)(rig_cpu_ns() - before) / 1e6 / ROUNDS;
    }
    before = rig_cpu_ns();
    for (int i = 0; i < CHANGES; i++) {
        engine_hear(engine, PARAM_SEND_LEVEL, i % INPUTS, i % MIXES, -1 - i % 7, i + 2);
        engine_run(engine, i + 2, NULL, NULL);
    }
    change_ms = (double)(rig_cpu_ns() - before) / 1e6 / CHANGES;
    for (int check = 0; check < CHECKS; check++)
        unknown += engine_count(engine, check, OUTCOME_NOT_KNOWN);
    printf("128 inputs x 64 mixes, 31-band graphics (%zu checks on objects, %zu not known, sum of "
           "paths "
           "%.0f)\n"
           "  every check                 %8.2f ms\n"
           "  every path's gain at 1 kHz  %8.2f ms\n"
           "  one changed send            %8.3f ms = %.2f %% of both\n",
           ran, unknown, sum / ROUNDS, checks_ms, paths_ms, change_ms,
           100 * change_ms / (checks_ms + paths_ms));
    engine_free(engine);
    return 0;
}
