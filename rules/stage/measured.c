/* SPDX-License-Identifier: MIT */
#include "stage/measured.h"

#include <math.h>

static int
microphone_of(const struct stage *stage, int input)
{
    for (int i = 0; i < stage->microphone_count; i++)
        if (serves_has(&stage->microphones[i].inputs, input))
            return i;
    return -1;
}

/* Direct sound and room from the mix's loudspeakers, with no allowance; -HUGE_VAL: no way is told. */
static double
plain_db(const struct loops *loops, int microphone, int mix, double hz)
{
    double power = 0;

    for (int i = 0; i < loops->stage->loudspeaker_count; i++) {
        struct leg leg;

        if (!serves_has(&loops->stage->loudspeakers[i].mixes, loops->mixes[mix]) ||
            !leg_to_microphone(loops->stage, i, microphone, &leg))
            continue;
        leg.figures[LEG_ALLOWANCE_DB].number = 0;
        power += pow(10, leg_db(&leg, hz, beam_q(&loops->stage->loudspeakers[i].beam, hz)) / 10);
    }
    return loops_power_db(power);
}

/* Half a band beyond the first and the last at most. Out there neither the plan's loudspeaker nor the
 * desk's filters let much through, and all that they take would be called measured. */
static bool
is_looked_at(double hz)
{
    double half = pow(2, 1.0 / 6);

    return hz > band_exact_hz(LOOPS_FIRST_BAND) / half &&
           hz < band_exact_hz(LOOPS_LAST_BAND) * half;
}

static void
take(struct loops *loops, const struct onset_measured *onset)
{
    int microphone = microphone_of(loops->stage, onset->input), mix = loops_mix(loops, onset->mix);
    struct loops_measured *to;
    double plain, db;

    if (microphone < 0 || mix < 0 || !is_looked_at(onset->hz))
        return;
    to = &loops->measured[microphone][mix];
    plain = plain_db(loops, microphone, mix, onset->hz);
    db = -onset->desk_db - plain;
    if (plain > -HUGE_VAL && (!to->there || db > to->db))
        *to = (struct loops_measured){true, db, onset->hz};
}

void
measured_take(struct loops *loops, const struct onset_measured *onsets, int count)
{
    for (int i = 0; i < loops->stage->microphone_count; i++)
        for (int mix = 0; mix < loops->mix_count; mix++)
            loops->measured[i][mix].there = false;
    for (int i = 0; i < count; i++)
        take(loops, &onsets[i]);
    loops_air(loops, loops->stage, -1, -1);
}
