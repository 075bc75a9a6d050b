/* SPDX-License-Identifier: MIT */
#include "stage/trial.h"

#include <stdlib.h>

#include "core/need.h"

void
trial_begin(struct trial *trial, const struct loops *loops)
{
    trial->loops = loops;
    trial->stage = need_memory(1, sizeof *trial->stage);
    *trial->stage = *loops->stage;
    trial->tried = loops_copy(loops);
    trial->tried->stage = trial->stage;
    trial->stage_db = loops_onset(loops, PHASES_RANDOM).gain_db;
}

void
trial_end(struct trial *trial)
{
    loops_free(trial->tried);
    free(trial->stage);
}

void
trial_put_back(struct trial *trial, int microphone, int mix)
{
    *trial->stage = *trial->loops->stage;
    loops_take(trial->tried, trial->loops, microphone, mix);
}

double
trial_path_db(const struct trial *trial, struct loop_path path)
{
    return path.gain_db - loops_path(trial->tried, path.microphone, path.mix).gain_db;
}

double
trial_stage_db(const struct trial *trial)
{
    return trial->stage_db - loops_onset(trial->tried, PHASES_RANDOM).gain_db;
}
