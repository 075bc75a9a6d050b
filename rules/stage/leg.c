/* SPDX-License-Identifier: MIT */
#include "stage/leg.h"

#include <math.h>

#include "sound/filter.h"
#include "stage/vector.h"

/* Standard deviation of each figure, in its own unit, by where it comes from. Common practice, no
 * source, but the allowance's (pattern.h). */
static const double spreads[LEG_FIGURES][EXACT + 1] = {
    [LEG_METRES] = {[BY_DEFAULT] = 0.1, [GIVEN] = 0.1},
    [LEG_MICROPHONE_DEGREES] = {[BY_DEFAULT] = 30, [GIVEN] = 10},
    [LEG_LOUDSPEAKER_DEGREES] = {[BY_DEFAULT] = 30, [GIVEN] = 10},
    [LEG_PATTERN] = {[BY_DEFAULT] = 0.15, [GIVEN] = 0.02},
    [LEG_FLOOR_DB] = {[BY_DEFAULT] = 6, [GIVEN] = 3},
    [LEG_BEAM] = {[BY_DEFAULT] = 0.5, [GIVEN] = 0.2},
    [LEG_FROM_HZ] = {[BY_DEFAULT] = 20, [GIVEN] = 8},
    [LEG_CRITICAL_DB] = {[BY_DEFAULT] = 6, [GIVEN] = 1.6},
    [LEG_CALIBRATION_DB] = {[STANDS_IN] = 6, [GIVEN] = 0.5},
    [LEG_AMPLIFIER_DB] = {[STANDS_IN] = 6, [GIVEN] = 0.5},
    [LEG_LOUDSPEAKER_DB] = {[STANDS_IN] = 6, [GIVEN] = 1},
    [LEG_MICROPHONE_DB] = {[STANDS_IN] = 6, [GIVEN] = 1},
    [LEG_ALLOWANCE_DB] = {[BY_DEFAULT] = PATTERN_ALLOWANCE_SPREAD_DB,
                          [GIVEN] = 1.5}, /* measured at one ring: common practice, no source */
};

/* Of a normal distribution nine in ten lie within so many standard deviations. */
#define NINE_OF_TEN 1.645

/* A closed box falls below its lows by 12 dB per octave (R. Small 1972, from memory). */
enum { LOWS_ORDER = 2 };

/* 1 W in 8 ohm. */
#define WATT_DB 9.0309

/* ---- from the plan ---- */

static const struct stage_pair *
pair_of(const struct stage *stage, int loudspeaker, int microphone)
{
    for (int i = 0; i < stage->pair_count; i++)
        if (stage->pairs[i].loudspeaker == loudspeaker && stage->pairs[i].microphone == microphone)
            return &stage->pairs[i];
    return NULL;
}

/* What every way from this loudspeaker has. */
static void
begin(const struct stage *stage, int loudspeaker, struct leg *leg)
{
    const struct stage_loudspeaker *from = &stage->loudspeakers[loudspeaker];

    *leg = (struct leg){
        .figures =
            {
                [LEG_FLOOR_DB] = {-HUGE_VAL, EXACT},
                [LEG_PATTERN] = {pattern_rows[PATTERN_OMNIDIRECTIONAL].a, EXACT},
                [LEG_BEAM] = {1, from->beam_how},
                [LEG_FROM_HZ] = from->from_hz,
                [LEG_CRITICAL_DB] = {20 * log10(stage->critical_m.number), stage->critical_m.how},
                [LEG_CALIBRATION_DB] = {0, EXACT},
                [LEG_AMPLIFIER_DB] = from->amplifier_db,
                [LEG_LOUDSPEAKER_DB] = {from->sensitivity_db.number - WATT_DB,
                                        from->sensitivity_db.how},
                [LEG_MICROPHONE_DB] = {0, EXACT},
                [LEG_ALLOWANCE_DB] = {0, EXACT},
            },
        .beam = &from->beam,
    };
}

static void
aim(const struct stage *stage, int loudspeaker, struct place to, struct leg *leg)
{
    const struct stage_loudspeaker *from = &stage->loudspeakers[loudspeaker];
    struct place way = vector_from(from->at, to);
    double metres = fmax(vector_length(way), STAGE_NEAREST_M);

    leg->figures[LEG_METRES] = (struct stated){metres, GIVEN};
    leg->figures[LEG_LOUDSPEAKER_DEGREES].how = from->axis_how;
    if (metres > STAGE_NEAREST_M)
        leg->figures[LEG_LOUDSPEAKER_DEGREES].number =
            vector_degrees(stage_loudspeaker_axis(stage, loudspeaker), way);
}

static bool
place_microphone(const struct stage *stage, int loudspeaker, int microphone, struct leg *leg)
{
    const struct stage_microphone *to = &stage->microphones[microphone];
    const struct stage_pair *pair = pair_of(stage, loudspeaker, microphone);

    if (pair) {
        leg->figures[LEG_METRES] = (struct stated){fmax(pair->metres, STAGE_NEAREST_M), GIVEN};
        leg->figures[LEG_MICROPHONE_DEGREES] = (struct stated){pair->microphone_degrees, GIVEN};
        leg->figures[LEG_LOUDSPEAKER_DEGREES] = (struct stated){pair->loudspeaker_degrees, GIVEN};
        return true;
    }
    if (!to->placed || !stage->loudspeakers[loudspeaker].placed)
        return false;
    aim(stage, loudspeaker, to->at, leg);
    leg->figures[LEG_MICROPHONE_DEGREES].how = to->axis_how;
    if (leg->figures[LEG_METRES].number > STAGE_NEAREST_M)
        leg->figures[LEG_MICROPHONE_DEGREES].number =
            vector_degrees(to->axis, vector_from(to->at, stage->loudspeakers[loudspeaker].at));
    return true;
}

bool
leg_to_microphone(const struct stage *stage, int loudspeaker, int microphone, struct leg *leg)
{
    const struct stage_microphone *to = &stage->microphones[microphone];
    const struct pattern_row *pattern = &pattern_rows[to->pattern];

    begin(stage, loudspeaker, leg);
    if (!place_microphone(stage, loudspeaker, microphone, leg))
        return false;
    leg->figures[LEG_PATTERN] = (struct stated){pattern->a, to->pattern_how};
    leg->figures[LEG_FLOOR_DB] = to->floor_db;
    leg->figures[LEG_CALIBRATION_DB] = stage->calibration_db;
    leg->figures[LEG_MICROPHONE_DB] =
        (struct stated){stage_microphone_db(to), to->sensitivity_mv_per_pa.how};
    leg->figures[LEG_ALLOWANCE_DB] = (struct stated){pattern->allowance_db, BY_DEFAULT};
    return true;
}

bool
leg_to_ears(const struct stage *stage, int loudspeaker, int ears, struct leg *leg)
{
    begin(stage, loudspeaker, leg);
    if (!stage->loudspeakers[loudspeaker].placed)
        return false;
    aim(stage, loudspeaker, stage->ears[ears].at, leg);
    return true;
}

/* ---- what it makes ---- */

static double
of(const struct leg *leg, enum leg_figure figure)
{
    return leg->figures[figure].number;
}

/* Of ears nothing. */
static double
allowed_db(const struct leg *leg, double hz)
{
    const struct stated *allowance = &leg->figures[LEG_ALLOWANCE_DB];

    return allowance->how == EXACT ? 0 : pattern_allowance_db(allowance->number, hz);
}

double
leg_db(const struct leg *leg, double hz, double q)
{
    double a = of(leg, LEG_PATTERN);
    double direct_db =
        of(leg, LEG_BEAM) * beam_db(leg->beam, of(leg, LEG_LOUDSPEAKER_DEGREES), hz) +
        pattern_db(a, of(leg, LEG_MICROPHONE_DEGREES), of(leg, LEG_FLOOR_DB)) -
        20 * log10(of(leg, LEG_METRES));
    double room = pattern_random_energy(a) / q * pow(10, -of(leg, LEG_CRITICAL_DB) / 10);

    return 10 * log10(pow(10, direct_db / 10) + room) + of(leg, LEG_CALIBRATION_DB) +
           of(leg, LEG_AMPLIFIER_DB) + of(leg, LEG_LOUDSPEAKER_DB) + of(leg, LEG_MICROPHONE_DB) +
           allowed_db(leg, hz) - filter_high_pass_loss_db(LOWS_ORDER, of(leg, LEG_FROM_HZ), hz);
}

bool
leg_is_absolute(const struct leg *leg)
{
    for (int figure = 0; figure < LEG_FIGURES; figure++)
        if (leg->figures[figure].how == STANDS_IN)
            return false;
    return true;
}

/* ---- how far it may be off ---- */

/* An angle is one between 0 and 180 degrees, a part one between 0 and 1. */
static double
kept_possible(enum leg_figure figure, double number)
{
    switch ((int)figure) {
    case LEG_METRES:
        return fmax(number, STAGE_NEAREST_M);
    case LEG_FROM_HZ:
        return fmax(number, 0);
    case LEG_MICROPHONE_DEGREES:
    case LEG_LOUDSPEAKER_DEGREES:
        return number > 180 ? 360 - number : fabs(number);
    case LEG_PATTERN:
        return fmin(fmax(number, 0), 1);
    default:
        return number;
    }
}

static double
moved_db(struct leg leg, enum leg_figure figure, double by, double hz, double q)
{
    leg.figures[figure].number = kept_possible(figure, of(&leg, figure) + by);
    return leg_db(&leg, hz, q);
}

double
leg_give_or_take_db(const struct leg *leg, double hz, double q)
{
    double here_db = leg_db(leg, hz, q), squares = 0;

    for (int at = 0; at < LEG_FIGURES; at++) {
        enum leg_figure figure = (enum leg_figure)at;
        double spread = spreads[at][leg->figures[at].how];
        double up_db = moved_db(*leg, figure, spread, hz, q) - here_db;
        double down_db = moved_db(*leg, figure, -spread, hz, q) - here_db;

        squares += fmax(up_db * up_db, down_db * down_db);
    }
    return leg_nine_of_ten(squares);
}

double
leg_nine_of_ten(double sum_of_squares)
{
    return NINE_OF_TEN * sqrt(sum_of_squares);
}
