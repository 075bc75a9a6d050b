/* SPDX-License-Identifier: MIT */
#include "stage/stage.h"

#include <math.h>
#include <stddef.h>

#include "core/need.h"
#include "stage/angle.h"
#include "stage/vector.h"

/* What stands in where the plan says nothing. Without source, from common practice: all but the
 * talker, "72 dB SPL at 0.5 m" (Sound System Design Reference Manual, 1999, chapter 7), and how near
 * a listener shall feel, 4 ft (Handbook for Sound Engineers, 4th edition, chapter 34, its example). */
static const struct stated critical_m = {2, BY_DEFAULT}, voice_db = {72, BY_DEFAULT},
                           equivalent_m = {1.2, BY_DEFAULT}, calibration_db = {0, STANDS_IN},
                           sensitivity_mv_per_pa = {2, STANDS_IN}, mouth_m = {0.05, BY_DEFAULT},
                           floor_db = {PATTERN_FLOOR_DB, BY_DEFAULT},
                           sensitivity_db = {96, STANDS_IN}, amplifier_db = {32, STANDS_IN},
                           from_hz = {70, BY_DEFAULT}, noise_db = {0, STANDS_IN},
                           above_noise_db = {10, BY_DEFAULT};

/* A singer looks at the audience, a microphone at the singer. */
static const struct place upstage = {0, 1, 0}, to_audience = {0, -1, 0};

struct stage *
stage_new(void)
{
    struct stage *stage = need_memory(1, sizeof *stage);

    stage->critical_m = critical_m;
    stage->calibration_db = calibration_db;
    stage->voice_db = voice_db;
    stage->equivalent_m = equivalent_m;
    return stage;
}

struct stage_microphone *
stage_add_microphone(struct stage *stage)
{
    struct stage_microphone *microphone = &stage->microphones[stage->microphone_count];

    if (stage->microphone_count == STAGE_MICROPHONES)
        return NULL;
    stage->microphone_count++;
    *microphone = (struct stage_microphone){
        .axis = upstage,
        .axis_how = BY_DEFAULT,
        .pattern = PATTERN_CARDIOID,
        .pattern_how = BY_DEFAULT,
        .floor_db = floor_db,
        .sensitivity_mv_per_pa = sensitivity_mv_per_pa,
        .mouth_m = mouth_m,
    };
    return microphone;
}

struct stage_loudspeaker *
stage_add_loudspeaker(struct stage *stage)
{
    struct stage_loudspeaker *loudspeaker = &stage->loudspeakers[stage->loudspeaker_count];

    if (stage->loudspeaker_count == STAGE_LOUDSPEAKERS)
        return NULL;
    stage->loudspeaker_count++;
    *loudspeaker = (struct stage_loudspeaker){
        .axis = upstage,
        .axis_how = BY_DEFAULT,
        .sensitivity_db = sensitivity_db,
        .amplifier_db = amplifier_db,
        .from_hz = from_hz,
        .beam = beam_usual,
        .beam_how = BY_DEFAULT,
    };
    return loudspeaker;
}

struct stage_ears *
stage_add_ears(struct stage *stage)
{
    struct stage_ears *ears = &stage->ears[stage->ears_count];

    if (stage->ears_count == STAGE_EARS)
        return NULL;
    stage->ears_count++;
    *ears = (struct stage_ears){.mix = -1, .noise_db = noise_db, .above_noise_db = above_noise_db};
    return ears;
}

bool
serves_has(const struct serves *serves, int one)
{
    for (int i = 0; i < serves->count; i++)
        if (serves->of[i] == one)
            return true;
    return false;
}

/* Whether one of the loudspeakers before it plays the mix, or it does in an earlier place. */
static bool
is_known(const struct stage *stage, int loudspeaker, int place)
{
    const struct serves *mixes = &stage->loudspeakers[loudspeaker].mixes;
    struct serves before = *mixes;

    before.count = place;
    for (int i = 0; i < loudspeaker; i++)
        if (serves_has(&stage->loudspeakers[i].mixes, mixes->of[place]))
            return true;
    return serves_has(&before, mixes->of[place]);
}

int
stage_mixes(const struct stage *stage, int *mixes, int room)
{
    int count = 0;

    for (int i = 0; i < stage->loudspeaker_count; i++)
        for (int k = 0; k < stage->loudspeakers[i].mixes.count; k++) {
            if (is_known(stage, i, k))
                continue;
            if (count < room)
                mixes[count] = stage->loudspeakers[i].mixes.of[k];
            count++;
        }
    return count;
}

int
stage_loudspeakers_of(const struct stage *stage, int mix)
{
    int count = 0;

    for (int i = 0; i < stage->loudspeaker_count; i++)
        count += serves_has(&stage->loudspeakers[i].mixes, mix);
    return count;
}

/* The first that feeds the input, made where there is none; -1: no room. */
static int
microphone_of(struct stage *stage, int input)
{
    struct stage_microphone *made;

    for (int i = 0; i < stage->microphone_count; i++)
        if (serves_has(&stage->microphones[i].inputs, input))
            return i;
    made = stage_add_microphone(stage);
    if (!made)
        return -1;
    made->inputs = (struct serves){1, {input}};
    made->of_pair = true;
    return stage->microphone_count - 1;
}

static int
loudspeaker_of(struct stage *stage, int mix)
{
    struct stage_loudspeaker *made;

    for (int i = 0; i < stage->loudspeaker_count; i++)
        if (serves_has(&stage->loudspeakers[i].mixes, mix))
            return i;
    made = stage_add_loudspeaker(stage);
    if (!made)
        return -1;
    made->mixes = (struct serves){1, {mix}};
    made->of_pair = true;
    return stage->loudspeaker_count - 1;
}

struct stage_pair *
stage_add_pair(struct stage *stage, int input, int mix)
{
    struct stage_pair *pair = &stage->pairs[stage->pair_count];
    int microphone, loudspeaker;

    if (stage->pair_count == STAGE_PAIRS)
        return NULL;
    microphone = microphone_of(stage, input);
    loudspeaker = loudspeaker_of(stage, mix);
    if (microphone < 0 || loudspeaker < 0)
        return NULL;
    stage->pair_count++;
    *pair = (struct stage_pair){.microphone = microphone, .loudspeaker = loudspeaker, .metres = 1};
    return pair;
}

double
stage_critical_m(double volume_m3, double reverberation_s)
{
    double absorption_m2 = 0.161 * volume_m3 / reverberation_s;

    return sqrt(absorption_m2 / (16 * ANGLE_PI));
}

/* 1 Pa is 20 log10(1 Pa / 20 uPa) = 93.98 dB SPL. */
double
stage_microphone_db(const struct stage_microphone *microphone)
{
    return 20 * log10(microphone->sensitivity_mv_per_pa.number / 1000) - 20 * log10(1 / 20e-6);
}

/* ---- which way it faces ---- */

static void
keep_nearer(struct place from, struct place to, struct place *axis, double *nearest_m)
{
    double metres = vector_length(vector_from(from, to));

    if (metres > 0 && metres < *nearest_m) {
        *nearest_m = metres;
        *axis = vector_unit(vector_from(from, to));
    }
}

struct place
stage_loudspeaker_axis(const struct stage *stage, int loudspeaker)
{
    const struct stage_loudspeaker *one = &stage->loudspeakers[loudspeaker];
    struct place axis = one->axis;
    double nearest_m = HUGE_VAL;

    if (one->axis_how == GIVEN)
        return axis;
    if (one->house)
        return to_audience;
    for (int i = 0; i < stage->ears_count; i++)
        if (serves_has(&one->mixes, stage->ears[i].mix))
            keep_nearer(one->at, stage->ears[i].at, &axis, &nearest_m);
    for (int i = 0; nearest_m == HUGE_VAL && i < stage->microphone_count; i++)
        if (stage->microphones[i].placed)
            keep_nearer(one->at, stage->microphones[i].at, &axis, &nearest_m);
    return axis;
}
