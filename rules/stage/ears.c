/* SPDX-License-Identifier: MIT */
#include "stage/ears.h"

#include <math.h>

#include "stage/measured.h"
#include "stage/vector.h"

int
ears_microphone(const struct loops *loops, int ears)
{
    const struct stage *stage = loops->stage;
    int mix = loops_mix(loops, stage->ears[ears].mix), found = -1;
    double nearest_m = HUGE_VAL;

    for (int i = 0; mix >= 0 && i < stage->microphone_count; i++) {
        const struct stage_microphone *one = &stage->microphones[i];
        double metres = vector_length(vector_from(stage->ears[ears].at, one->at));

        if (one->placed && metres < nearest_m && loops_path(loops, i, mix).gain_db > -HUGE_VAL) {
            nearest_m = metres;
            found = i;
        }
    }
    return found;
}

/* What is between the microphone's diaphragm and its socket, and the desk's own. */
static double
socket_db(const struct stage *stage, int microphone)
{
    return stage_microphone_db(&stage->microphones[microphone]) + stage->calibration_db.number;
}

static double
power_in(const struct loops *loops, int ears, int mix, int band)
{
    double power = 0;
    struct leg leg;

    for (int i = 0; i < loops->stage->loudspeaker_count; i++)
        if (serves_has(&loops->stage->loudspeakers[i].mixes, loops->mixes[mix]) &&
            leg_to_ears(loops->stage, i, ears, &leg))
            power += pow(10, leg_db(&leg, band_exact_hz(band), loops->q[i][band]) / 10);
    return power;
}

double
ears_gain_db(const struct loops *loops, int ears, int microphone, int mix)
{
    double shares[BANDS], power = 0;

    band_speech_shares(shares);
    for (int band = 0; band < BANDS; band++)
        if (shares[band] > 0)
            power += shares[band] * power_in(loops, ears, mix, band) *
                     loops_desk_power(loops, mix, microphone, band);
    return loops_power_db(power) + socket_db(loops->stage, microphone);
}

/* Of the way back alone, without what cancels: measured, nothing does. */
static double
give_or_take_db(const struct loops *loops, int microphone, int mix, int band)
{
    static const enum leg_figure common[] = {LEG_CALIBRATION_DB, LEG_AMPLIFIER_DB,
                                             LEG_LOUDSPEAKER_DB, LEG_MICROPHONE_DB};
    enum how how = loops->measured[microphone][mix].there ? GIVEN : EXACT;
    int loudspeaker = loops_loudspeaker(loops, microphone, mix, band);
    struct leg leg;

    if (loudspeaker < 0 || !loops_leg(loops, loudspeaker, microphone, mix, &leg))
        return 0;
    for (size_t i = 0; i < sizeof common / sizeof *common; i++)
        leg.figures[common[i]].how = how;
    return leg_give_or_take_db(&leg, band_exact_hz(band), loops->q[loudspeaker][band]);
}

/* A path of the mix was measured, and the plan lacks figures: what was measured then holds those that
 * stand in, and they would not cancel. */
static bool
is_out_of_true(const struct loops *loops, int mix)
{
    for (int i = 0; i < loops->stage->microphone_count; i++)
        for (int k = 0; loops->measured[i][mix].there && k < loops->stage->loudspeaker_count; k++) {
            struct leg leg;

            if (serves_has(&loops->stage->loudspeakers[k].mixes, loops->mixes[mix]) &&
                leg_to_microphone(loops->stage, k, i, &leg) && !leg_is_absolute(&leg))
                return true;
        }
    return false;
}

static enum ears_why
level_of(const struct loops *loops, int ears, double margin_db, struct ears_level *level)
{
    const struct stage_ears *at = &loops->stage->ears[ears];
    double gain_db = ears_gain_db(loops, ears, level->microphone, level->mix);
    struct onset onset = loops_onset_of_mix(loops, level->mix);

    if (gain_db == -HUGE_VAL || onset.gain_db == -HUGE_VAL)
        return EARS_NO_WAY;
    level->voice_db =
        loops->stage->voice_db.number -
        20 * log10(loops->stage->microphones[level->microphone].mouth_m.number / STAGE_VOICE_M);
    level->level_db = level->voice_db + gain_db - onset.gain_db - margin_db;
    level->give_or_take_db = give_or_take_db(loops, level->microphone, level->mix, onset.band);
    level->needed_db = at->noise_db.how == STANDS_IN
                           ? (double)NAN
                           : at->noise_db.number + at->above_noise_db.number;
    level->spare_db = level->level_db - level->needed_db;
    return EARS_HEAR;
}

enum ears_why
ears_level(const struct loops *loops, int ears, double margin_db, struct ears_level *level)
{
    struct loops *plain;
    enum ears_why why;

    level->mix = loops_mix(loops, loops->stage->ears[ears].mix);
    if (level->mix < 0)
        return EARS_NO_LOUDSPEAKER;
    level->microphone = ears_microphone(loops, ears);
    if (level->microphone < 0)
        return EARS_NOTHING_OPEN;
    if (!is_out_of_true(loops, level->mix))
        return level_of(loops, ears, margin_db, level);
    plain = loops_copy(loops);
    measured_take(plain, NULL, 0);
    why = level_of(plain, ears, margin_db, level);
    loops_free(plain);
    return why;
}
