/* SPDX-License-Identifier: MIT */
#include "stage/hand.h"

#include <math.h>

/* What arrives in the band through the mix's loudspeakers at the microphone with a hand around it. */
static double
covered_power(const struct loops *loops, int microphone, int mix, int band)
{
    double power = 0;
    struct leg leg;

    for (int i = 0; i < loops->stage->loudspeaker_count; i++)
        if (serves_has(&loops->stage->loudspeakers[i].mixes, loops->mixes[mix]) &&
            loops_leg(loops, i, microphone, mix, &leg)) {
            leg.figures[LEG_PATTERN].number = pattern_rows[PATTERN_OMNIDIRECTIONAL].a;
            power += pow(10, leg_db(&leg, band_exact_hz(band), loops->q[i][band]) / 10);
        }
    return power;
}

double
hand_loss_db(const struct loops *loops, int microphone)
{
    double open_db = -HUGE_VAL, covered_db = -HUGE_VAL;

    for (int mix = 0; mix < loops->mix_count; mix++) {
        open_db = fmax(open_db, loops_path(loops, microphone, mix).gain_db);
        for (int band = LOOPS_FIRST_BAND; band <= LOOPS_LAST_BAND; band++)
            covered_db =
                fmax(covered_db, loops_power_db(covered_power(loops, microphone, mix, band) *
                                                loops_desk_power(loops, mix, microphone, band)));
    }
    return open_db == -HUGE_VAL ? 0 : covered_db - open_db;
}
