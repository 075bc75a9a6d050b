/* SPDX-License-Identifier: MIT */
#include "stage/margin.h"

#include <math.h>

/* Standard deviation of how paths meet at random phases: 0.5 dB in 71 simulated stages in which they
 * do, known to within half a dB (tests/stage/fit_patterns.py); no other source. */
#define PHASES_SPREAD_DB 1.0

/* Where the whole stage is by less than this above its loudest path, nothing meets. */
#define ALONE_DB 0.5

static bool
leg_of_path(const struct loops *loops, struct loop_path path, int *loudspeaker, struct leg *leg)
{
    *loudspeaker = loops_loudspeaker(loops, path.microphone, path.mix, path.band);
    return *loudspeaker >= 0 && loops_leg(loops, *loudspeaker, path.microphone, path.mix, leg);
}

struct margin
margin_of_path(const struct loops *loops, struct loop_path path)
{
    struct margin margin = {.db = -path.gain_db, .band = path.band, .leads = path};
    struct leg leg;
    int loudspeaker;

    if (!leg_of_path(loops, path, &loudspeaker, &leg))
        return margin;
    margin.absolute = leg_is_absolute(&leg);
    margin.give_or_take_db =
        leg_give_or_take_db(&leg, band_exact_hz(path.band), loops->q[loudspeaker][path.band]);
    return margin;
}

/* Every path of the mix (-1: of all) that closes a loop has all that an absolute gain needs. */
static bool
is_absolute(const struct loops *loops, int of_mix)
{
    for (int i = 0; i < loops->stage->microphone_count; i++)
        for (int mix = 0; mix < loops->mix_count; mix++) {
            struct loop_path path = loops_path(loops, i, mix);

            if ((of_mix < 0 || of_mix == mix) && path.gain_db > -HUGE_VAL &&
                !margin_of_path(loops, path).absolute)
                return false;
        }
    return true;
}

/* Of the mix, -1: of all. */
static struct loop_path
loudest_in(const struct loops *loops, int band, int of_mix)
{
    struct loop_path loudest = {.band = band, .gain_db = -HUGE_VAL};

    for (int i = 0; i < loops->stage->microphone_count; i++)
        for (int mix = 0; mix < loops->mix_count; mix++) {
            double gain_db = loops_path_in(loops, i, mix, band);

            if ((of_mix < 0 || of_mix == mix) && gain_db > loudest.gain_db)
                loudest = (struct loop_path){i, mix, band, gain_db};
        }
    return loudest;
}

static struct margin
margin_of_onset(const struct loops *loops, enum phases phases, struct onset onset, int mix)
{
    struct margin margin = {.db = HUGE_VAL};

    if (onset.gain_db == -HUGE_VAL)
        return margin;
    margin = margin_of_path(loops, loudest_in(loops, onset.band, mix));
    margin.db = -onset.gain_db;
    margin.gap_db = onset.gap_db;
    margin.absolute = is_absolute(loops, mix);
    if (phases == PHASES_RANDOM && onset.gain_db > margin.leads.gain_db + ALONE_DB)
        margin.give_or_take_db =
            hypot(margin.give_or_take_db, leg_nine_of_ten(PHASES_SPREAD_DB * PHASES_SPREAD_DB));
    return margin;
}

struct margin
margin_of_stage(const struct loops *loops, enum phases phases)
{
    return margin_of_onset(loops, phases, loops_onset(loops, phases), -1);
}

struct margin
margin_of_mix(const struct loops *loops, int mix)
{
    return margin_of_onset(loops, PHASES_RANDOM, loops_onset_of_mix(loops, mix), mix);
}

/* A microphone that the mix's loudspeakers have no way to closes no loop. */
bool
margin_may_be_absolute(const struct loops *loops, int mix)
{
    for (int i = 0; i < loops->stage->loudspeaker_count; i++)
        for (int k = 0; k < loops->stage->microphone_count; k++) {
            struct leg leg;

            if (serves_has(&loops->stage->loudspeakers[i].mixes, loops->mixes[mix]) &&
                loops_leg(loops, i, k, mix, &leg) && !leg_is_absolute(&leg))
                return false;
        }
    return true;
}
