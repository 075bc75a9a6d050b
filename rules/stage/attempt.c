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

void
attempt_begin(struct attempt *attempt, struct trial *trial, struct loop_path path)
{
    int ears = ears_of(trial->loops, path.mix);

    if (ears >= 0 && ears_gain_db(trial->loops, ears, path.microphone, path.mix) == -HUGE_VAL)
        ears = -1; /* the plan does not say where it comes from */
    *attempt = (struct attempt){.trial = trial, .ears = ears};
    attempt->help.path = path;
    attempt->help.loudspeaker =
        loops_loudspeaker(trial->loops, path.microphone, path.mix, path.band);
}

/* By how much the voice gets softer at those ears of the mix that lose the most; below 0 where all of
 * them win. */
static double
ears_lose_db(const struct attempt *attempt)
{
    const struct loops *before = attempt->trial->loops, *after = attempt->trial->tried;
    const struct loop_path *path = &attempt->help.path;
    double most_db = -HUGE_VAL;

    for (int i = 0; i < before->stage->ears_count; i++)
        if (before->stage->ears[i].mix == before->mixes[path->mix])
            most_db = fmax(most_db, ears_gain_db(before, i, path->microphone, path->mix) -
                                        ears_gain_db(after, i, path->microphone, path->mix));
    return most_db;
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
        scale_all(trial, -1, attempt->help.path.mix, ears_lose_db(attempt));
    scale_all(trial, attempt->help.path.microphone, -1, -voice_db);
    attempt->help.path_db = trial_path_db(trial, attempt->help.path);
    attempt->help.stage_db = trial_stage_db(trial);
}

double
attempt_path_db(const struct attempt *attempt)
{
    return trial_path_db(attempt->trial, attempt->help.path);
}
