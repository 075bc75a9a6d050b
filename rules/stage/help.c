/* SPDX-License-Identifier: MIT */
#include "stage/help.h"

#include <math.h>
#include <stdlib.h>

#include "sound/filter.h"
#include "stage/attempt.h"
#include "stage/ears.h"
#include "stage/vector.h"

/* What is tried, and how far; common practice, no source. */
enum { ROUND_STEP = 5, HIGH_PASS_ORDER = 3 };
#define ROUND_LEAST_M 0.3 /* straight below the ears there is no way round them */
#define COSTS_DB 0.05     /* what costs the whole stage more is no help: less prints as 0 */
#define MOUTH_NEAREST_M 0.05
#define WEDGE_NEARER 0.7 /* of its distance from the ears, */
#define WEDGE_NEAREST_M 1.0
#define HIGH_PASS_HZ 120.0
#define HIGH_PASS_BELOW_HZ 200.0 /* a path that leads above is none for a high-pass */
/* That one band leads another by less is not sure: PATTERN_ALLOWANCE_SPREAD_DB. */
#define HIGH_PASS_LEAST_DB 3.0

/* ---- moving the wedge ---- */

/* There, facing the ears: as the microphone hears the path's mix, -1: as all hear all its mixes. */
static void
set_wedge(struct attempt *attempt, struct place at, int microphone)
{
    struct trial *trial = attempt->trial;
    struct stage_loudspeaker *wedge = &trial->stage->loudspeakers[attempt->help.loudspeaker];

    wedge->at = at;
    wedge->axis = vector_unit(vector_from(at, trial->stage->ears[attempt->ears].at));
    wedge->axis_how = GIVEN;
    for (int i = 0; i < wedge->mixes.count; i++) {
        int mix = loops_mix(trial->loops, wedge->mixes.of[i]);

        if (microphone < 0 || mix == attempt->help.path.mix)
            loops_air(trial->tried, trial->stage, microphone, mix);
    }
}

/* One that stands somewhere, with ears it is for, and by no pair; the house hangs where it hangs. */
static bool
is_movable(const struct attempt *attempt)
{
    const struct stage *stage = attempt->trial->stage;

    return attempt->ears >= 0 && attempt->help.loudspeaker >= 0 && stage->pair_count == 0 &&
           stage->loudspeakers[attempt->help.loudspeaker].placed &&
           !stage->loudspeakers[attempt->help.loudspeaker].house &&
           vector_length(vector_from(stage->loudspeakers[attempt->help.loudspeaker].at,
                                     stage->ears[attempt->ears].at)) > 0;
}

/* All the way round the ears, as far and as high as it stands. */
static bool
try_null(struct attempt *attempt)
{
    struct stage *stage = attempt->trial->stage;
    struct place way, ears;
    double best_db = 0;

    if (!is_movable(attempt))
        return false;
    ears = stage->ears[attempt->ears].at;
    way = vector_from(ears, stage->loudspeakers[attempt->help.loudspeaker].at);
    if (hypot(way.x_m, way.y_m) < ROUND_LEAST_M)
        return false;
    for (int degrees = ROUND_STEP; degrees < 360; degrees += ROUND_STEP) {
        double c = cos(angle_radians(degrees)), s = sin(angle_radians(degrees)), db;
        struct place at = {ears.x_m + way.x_m * c - way.y_m * s,
                           ears.y_m + way.x_m * s + way.y_m * c, ears.z_m + way.z_m};

        set_wedge(attempt, at, attempt->help.path.microphone);
        db = trial_path_db(attempt->trial, attempt->help.path);
        if (db > best_db) {
            best_db = db;
            attempt->help.to = at;
        }
    }
    if (best_db == 0)
        return false;
    set_wedge(attempt, attempt->help.to, -1);
    attempt_weigh(attempt, 0);
    return true;
}

static bool
try_nearer(struct attempt *attempt)
{
    struct stage *stage = attempt->trial->stage;
    struct place way, ears;
    double metres;

    if (!is_movable(attempt))
        return false;
    ears = stage->ears[attempt->ears].at;
    way = vector_from(ears, stage->loudspeakers[attempt->help.loudspeaker].at);
    metres = fmax(vector_length(way) * WEDGE_NEARER, WEDGE_NEAREST_M);
    if (metres >= vector_length(way))
        return false;
    attempt->help.metres = metres;
    attempt->help.to = vector_mix(ears, 1, way, metres / vector_length(way));
    set_wedge(attempt, attempt->help.to, -1);
    attempt_weigh(attempt, 0);
    return true;
}

/* ---- the rest ---- */

static bool
try_mouth(struct attempt *attempt)
{
    const struct stage *stage = attempt->trial->stage;
    double metres = stage->microphones[attempt->help.path.microphone].mouth_m.number;

    if (metres <= MOUTH_NEAREST_M)
        return false;
    attempt->help.metres = MOUTH_NEAREST_M;
    attempt_weigh(attempt, 20 * log10(metres / MOUTH_NEAREST_M));
    return true;
}

static const double nothing[BANDS];

/* To the audience, who wears no in-ears. */
static bool
is_for_the_house(const struct loops *loops, int mix)
{
    for (int i = 0; i < loops->stage->loudspeaker_count; i++)
        if (loops->stage->loudspeakers[i].house &&
            serves_has(&loops->stage->loudspeakers[i].mixes, loops->mixes[mix]))
            return true;
    return false;
}

static bool
try_in_ears(struct attempt *attempt)
{
    if (is_for_the_house(attempt->trial->loops, attempt->help.path.mix))
        return false;
    for (int i = 0; i < attempt->trial->stage->microphone_count; i++)
        loops_scale(attempt->trial->tried, i, attempt->help.path.mix, nothing);
    attempt->help.path_db = trial_path_db(attempt->trial, attempt->help.path);
    attempt->help.stage_db = trial_stage_db(attempt->trial);
    return true;
}

static void
set_pattern(struct attempt *attempt, enum polar pattern, int mix)
{
    struct trial *trial = attempt->trial;
    int microphone = attempt->help.path.microphone;

    trial->stage->microphones[microphone].pattern = pattern;
    loops_air(trial->tried, trial->stage, microphone, mix);
}

/* Those that hear less of what comes from all round, a figure of eight apart: nobody sings into one. */
static bool
try_pattern(struct attempt *attempt)
{
    struct loop_path path = attempt->help.path;
    double random_energy = pattern_random_energy(
        pattern_rows[attempt->trial->stage->microphones[path.microphone].pattern].a);
    double best_db = 0;

    for (enum polar pattern = 0; pattern < PATTERN_FIGURE_OF_EIGHT; pattern++) {
        if (pattern_random_energy(pattern_rows[pattern].a) >= random_energy)
            continue;
        set_pattern(attempt, pattern, path.mix);
        if (attempt_path_db(attempt) > best_db) {
            best_db = attempt_path_db(attempt);
            attempt->help.pattern = pattern;
        }
    }
    if (best_db == 0)
        return false;
    set_pattern(attempt, attempt->help.pattern, -1);
    attempt_weigh(attempt, 0);
    return true;
}

/* A player's own is used, and closing it takes the mix what it is for. */
static bool
is_somebodys(const struct loops *loops, int microphone)
{
    for (int i = 0; i < loops->stage->ears_count; i++)
        if (ears_microphone(loops, i) == microphone)
            return true;
    return loops->owned[microphone];
}

static bool
try_close(struct attempt *attempt)
{
    if (is_somebodys(attempt->trial->loops, attempt->help.path.microphone))
        return false;
    for (int mix = 0; mix < attempt->trial->tried->mix_count; mix++)
        loops_scale(attempt->trial->tried, attempt->help.path.microphone, mix, nothing);
    attempt->help.path_db = trial_path_db(attempt->trial, attempt->help.path);
    attempt->help.stage_db = trial_stage_db(attempt->trial);
    return true;
}

/* What the path wins or loses in each band when its high-pass is set anew, whatever it did before. */
static void
set_high_pass(const struct loops *loops, int microphone, double by[BANDS])
{
    for (int band = 0; band < BANDS; band++) {
        double loss_db =
            filter_high_pass_loss_db(HIGH_PASS_ORDER, HIGH_PASS_HZ, band_exact_hz(band));

        by[band] = pow(10, -(loss_db + loops->high_pass_db[microphone][band]) / 20);
    }
}

static bool
try_high_pass(struct attempt *attempt)
{
    const struct loop_path *path = &attempt->help.path;
    struct loops *tried = attempt->trial->tried;
    double by[BANDS];

    if (band_exact_hz(path->band) > HIGH_PASS_BELOW_HZ ||
        !tried->high_passed[path->microphone][path->mix])
        return false;
    attempt->help.hz = HIGH_PASS_HZ;
    set_high_pass(tried, path->microphone, by);
    for (int mix = 0; mix < tried->mix_count; mix++)
        if (tried->high_passed[path->microphone][mix])
            loops_scale(tried, path->microphone, mix, by);
    attempt_weigh(attempt, 0);
    return attempt->help.path_db >= HIGH_PASS_LEAST_DB;
}

/* ---- all of them ---- */

static const struct way {
    bool (*try)(struct attempt *attempt); /* false: it does not apply */
    bool once_a_microphone, once_a_mix;   /* it is the same thing on whatever path of these */
} ways[HELP_KINDS] = {
    [HELP_TURN] = {attempt_turn, false, false},  [HELP_NULL] = {try_null, false, false},
    [HELP_NEARER] = {try_nearer, false, true},   [HELP_MOUTH] = {try_mouth, true, false},
    [HELP_IN_EARS] = {try_in_ears, false, true}, [HELP_CLOSE] = {try_close, true, false},
    [HELP_PATTERN] = {try_pattern, true, false}, [HELP_HIGH_PASS] = {try_high_pass, true, false},
};

static bool
is_told(const struct help *helps, int count, enum help_kind kind, struct loop_path path)
{
    for (int i = 0; i < count; i++)
        if (helps[i].kind == kind &&
            ((ways[kind].once_a_microphone && helps[i].path.microphone == path.microphone) ||
             (ways[kind].once_a_mix && helps[i].path.mix == path.mix)))
            return true;
    return false;
}

/* What wins the stage most first, then what wins its path most, then in the order of the table. */
static int
compare(const void *one, const void *other)
{
    const struct help *a = one, *b = other;

    if (a->stage_db != b->stage_db)
        return a->stage_db < b->stage_db ? 1 : -1;
    if (a->path_db != b->path_db)
        return a->path_db < b->path_db ? 1 : -1;
    if (a->path.gain_db != b->path.gain_db)
        return a->path.gain_db < b->path.gain_db ? 1 : -1;
    return (int)a->kind - (int)b->kind;
}

int
helps_of(const struct loops *loops, struct help helps[HELPS_MOST])
{
    struct loop_path paths[HELP_PATHS];
    int path_count = loops_leading(loops, paths, HELP_PATHS), count = 0;
    struct trial trial;

    trial_begin(&trial, loops);
    for (int at = 0; at < path_count * HELP_KINDS; at++) {
        enum help_kind kind = (enum help_kind)(at % HELP_KINDS);
        struct attempt attempt;

        if (is_told(helps, count, kind, paths[at / HELP_KINDS]))
            continue;
        attempt_begin(&attempt, &trial, paths[at / HELP_KINDS]);
        attempt.help.kind = kind;
        if (ways[kind].try(&attempt) && attempt.help.path_db >= HELP_LEAST_DB &&
            attempt.help.stage_db > -COSTS_DB)
            helps[count++] = attempt.help;
        trial_put_back(&trial, -1, -1);
    }
    trial_end(&trial);
    qsort(helps, (size_t)count, sizeof *helps, compare);
    return count;
}
