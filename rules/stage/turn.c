/* SPDX-License-Identifier: MIT */
/* Turning a microphone on its stand. */
#include <math.h>

#include "stage/attempt.h"
#include "stage/vector.h"

/* How far, in steps of; common practice, no source. */
enum { TURN_MOST = 45, TURN_STEP = 5 };

/* The axis turned in the plane of it and the loudspeaker, away from that where degrees are above 0. */
static struct place
turned(struct place axis, struct place to_loudspeaker, double degrees)
{
    struct place across =
        vector_mix(to_loudspeaker, 1, axis, -vector_product(to_loudspeaker, axis));

    if (vector_length(across) < 1e-6) { /* straight at it or away: one that a mirror leaves alone */
        struct place up = fabs(axis.z_m) < 0.9 ? (struct place){0, 0, 1} : (struct place){0, 1, 0};

        across = vector_mix(up, 1, axis, -vector_product(up, axis));
    }
    return vector_unit(vector_mix(axis, cos(angle_radians(degrees)), vector_unit(across),
                                  -sin(angle_radians(degrees))));
}

static void
turn(struct stage *stage, int microphone, int loudspeaker, double degrees)
{
    struct stage_microphone *one = &stage->microphones[microphone];

    for (int i = 0; i < stage->pair_count; i++)
        if (stage->pairs[i].microphone == microphone && stage->pairs[i].loudspeaker == loudspeaker)
            stage->pairs[i].microphone_degrees += degrees; /* the pattern goes on beyond 180 */
    if (one->placed && stage->loudspeakers[loudspeaker].placed)
        one->axis =
            turned(one->axis,
                   vector_unit(vector_from(one->at, stage->loudspeakers[loudspeaker].at)), degrees);
}

/* What the voice loses when the microphone does not face the mouth any more. */
static double
voice_db(const struct stage *stage, int microphone, double degrees)
{
    const struct stage_microphone *one = &stage->microphones[microphone];

    return pattern_db(pattern_rows[one->pattern].a, degrees, one->floor_db.number);
}

/* Heard by the mix, -1: by all. */
static void
set_turn(struct attempt *attempt, double degrees, int mix)
{
    struct trial *trial = attempt->trial;
    const struct help *help = &attempt->help;

    *trial->stage = *trial->loops->stage;
    turn(trial->stage, help->path.microphone, help->loudspeaker, degrees);
    loops_air(trial->tried, trial->stage, help->path.microphone, mix);
}

/* How much less comes back on the loudest way into the microphone, whichever that is now. */
static double
all_win_db(const struct attempt *attempt)
{
    const struct loop_path *path = &attempt->help.path;

    return path->gain_db - help_loudest_into(attempt->trial->tried, path->microphone).gain_db;
}

/* The best turn for the mix, -1: for all; 0: none wins. */
static double
best_turn(struct attempt *attempt, int mix, double *wins_db)
{
    double best = 0;

    *wins_db = 0;
    for (int degrees = -TURN_MOST; degrees <= TURN_MOST; degrees += TURN_STEP) {
        double db;

        set_turn(attempt, degrees, mix);
        db = (mix < 0 ? all_win_db : attempt_path_db)(attempt) +
             voice_db(attempt->trial->stage, attempt->help.path.microphone, degrees);
        if (db > *wins_db + 1e-9) {
            *wins_db = db;
            best = degrees;
        }
    }
    return best;
}

bool
attempt_turn(struct attempt *attempt)
{
    int microphone = attempt->help.path.microphone;
    double wins_db;

    if (!help_may_turn(attempt->trial->stage, microphone) || attempt->help.loudspeaker < 0)
        return false;
    attempt->help.degrees = best_turn(attempt, attempt->help.path.mix, &wins_db);
    if (attempt->help.degrees == 0)
        return false;
    set_turn(attempt, attempt->help.degrees, -1);
    attempt_weigh(attempt, voice_db(attempt->trial->stage, microphone, attempt->help.degrees));
    return true;
}

struct loop_path
help_loudest_into(const struct loops *loops, int microphone)
{
    struct loop_path loudest = {.microphone = microphone, .gain_db = -HUGE_VAL};

    for (int mix = 0; mix < loops->mix_count; mix++) {
        struct loop_path path = loops_path(loops, microphone, mix);

        if (path.gain_db > loudest.gain_db)
            loudest = path;
    }
    return loudest;
}

double
help_turn_voice_db(const struct loops *loops, int microphone, double degrees)
{
    return voice_db(loops->stage, microphone, degrees);
}

/* A pair tells one angle: how the other loudspeakers lie after a turn nobody knows. */
static bool
lies_are_known(const struct stage *stage, int microphone)
{
    bool pair = false;
    int ways = 0;

    for (int i = 0; i < stage->pair_count; i++)
        pair |= stage->pairs[i].microphone == microphone;
    for (int i = 0; i < stage->loudspeaker_count; i++) {
        struct leg leg;

        ways += leg_to_microphone(stage, i, microphone, &leg);
    }
    return !pair || ways < 2;
}

bool
help_may_turn(const struct stage *stage, int microphone)
{
    return !stage->microphones[microphone].in_hand && lies_are_known(stage, microphone);
}

bool
help_turn(const struct loops *loops, int microphone, struct help *help)
{
    struct loop_path path = help_loudest_into(loops, microphone);
    struct attempt attempt;
    struct trial trial;

    if (path.gain_db == -HUGE_VAL || !help_may_turn(loops->stage, microphone))
        return false;
    trial_begin(&trial, loops);
    attempt_begin(&attempt, &trial, path);
    attempt.help.kind = HELP_TURN;
    attempt.help.degrees = best_turn(&attempt, -1, &attempt.help.path_db);
    trial_end(&trial);
    *help = attempt.help;
    return true;
}
