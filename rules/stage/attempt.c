/* SPDX-License-Identifier: MIT */
#include "stage/attempt.h"

#include <math.h>

#include "stage/ears.h"

static int
ears_of(const struct loops *loops, int mix)
{
    for (int i = 0; i < loops->stage->ears_count; i++)
        if (loops->stage->ears[i].mix == loops->mixes[mix])
            return i;
    return -1;
}

static double
at_ears_db(const struct attempt *attempt, const struct loops *loops)
{
    const struct loop_path *path = &attempt->help.path;

    return attempt->ears < 0 ? 0 : ears_gain_db(loops, attempt->ears, path->microphone, path->mix);
}

void
attempt_begin(struct attempt *attempt, struct trial *trial, struct loop_path path)
{
    *attempt = (struct attempt){.trial = trial, .ears = ears_of(trial->loops, path.mix)};
    attempt->help.path = path;
    attempt->help.loudspeaker =
        loops_loudspeaker(trial->loops, path.microphone, path.mix, path.band);
    attempt->ears_db = at_ears_db(attempt, trial->loops);
    if (attempt->ears_db == -HUGE_VAL) /* the plan does not say where it comes from */
        attempt->ears = -1;
}

/* The microphone's inputs, or the mix, so much louder (the other is -1). */
static void
scale_all(struct trial *trial, int microphone, int mix, double db)
{
    double by[BANDS];

    for (int band = 0; band < BANDS; band++)
        by[band] = pow(10, db / 20);
    for (int i = 0; i < trial->stage->microphone_count; i++)
        for (int k = 0; k < trial->tried->mix_count; k++)
            if (microphone == i || mix == k)
                loops_scale(trial->tried, i, k, by);
}

void
attempt_weigh(struct attempt *attempt, double voice_db)
{
    struct trial *trial = attempt->trial;

    if (attempt->ears >= 0)
        scale_all(trial, -1, attempt->help.path.mix,
                  attempt->ears_db - at_ears_db(attempt, trial->tried));
    scale_all(trial, attempt->help.path.microphone, -1, -voice_db);
    attempt->help.path_db = trial_path_db(trial, attempt->help.path);
    attempt->help.stage_db = trial_stage_db(trial);
}

double
attempt_path_db(const struct attempt *attempt)
{
    return trial_path_db(attempt->trial, attempt->help.path);
}
