/* SPDX-License-Identifier: MIT */
/* Every loop of a stage: what leaves a mix of the desk comes back through air and a microphone into
 * inputs that are sent to mixes.
 *
 *   mix m --- air(k, m) ---> microphone k --- desk(m', k) ---> mix m'
 *
 * In each third-octave band the loops from mix to mix make one matrix, the sum over microphones of
 * desk(m', k) air(k, m). What rings first follows from its spectral radius:
 *
 *   phases at their worst   of the sums of magnitudes: no phases make more of them
 *   random phases           of the sums of their squares, which of N equal microphones makes the 10
 *                           log10 N of the handbooks
 *
 * Two inputs of one microphone carry one sound: their gains are added as magnitudes in both. A muted
 * input or mix is closed, so is a send behind a muted group, and an input that is a line closes no
 * loop.
 */
#ifndef GAINWARDEN_RULES_LOOPS_H
#define GAINWARDEN_RULES_LOOPS_H

#include <math.h>
#include <stdbool.h>

#include "look/look.h"
#include "sound/band.h"
#include "sound/path.h"
#include "stage/leg.h"
#include "stage/radius.h"

enum phases { PHASES_WORST, PHASES_RANDOM };

enum {
    LOOPS_FIRST_BAND = 5, /* 63 Hz: below it a stage loudspeaker radiates little, */
    LOOPS_LAST_BAND = 29  /* and above 16 kHz; common practice, no source */
};

/* What a ring-out found in place of a path's allowance, and at which frequency. */
struct loops_measured {
    bool there;
    double db, hz;
};

struct loops {
    const struct stage *stage; /* borrowed */
    int mix_count, mixes[STAGE_MIXES];
    double q[STAGE_LOUDSPEAKERS][BANDS];
    double *air_sum;   /* [band][microphone][mix] of its loudspeakers, magnitudes added up */
    double *air_power; /* the same, their squares */
    double *desk;      /* [band][mix][microphone] */
    /* What the high-pass of a microphone's only input does, dB, 0 where it is off; and the mixes into
     * which it lies in the path. Of several inputs none does. */
    double high_pass_db[STAGE_MICROPHONES][BANDS];
    bool high_passed[STAGE_MICROPHONES][STAGE_MIXES];
    struct loops_measured measured[STAGE_MICROPHONES][STAGE_MIXES]; /* see measured.h */
    bool owned[STAGE_MICROPHONES]; /* somebody's own, whom a mix of the desk is for */
    int unknown;                   /* paths of which a part is not known: left out */
    int unplaced; /* open ones from a loudspeaker to a microphone of which the plan does not tell
                          where both are: left out */
};

/* As dB, -HUGE_VAL of nothing. */
static inline double
loops_power_db(double power)
{
    return power > 0 ? 10 * log10(power) : -HUGE_VAL;
}

/* The mixes that loudspeakers of the plan serve, STAGE_MIXES at most, and their air; the desk's part
 * is 0 until it is heard. For loops_free(). */
struct loops *loops_new(const struct stage *stage);
struct loops *loops_copy(const struct loops *loops);
void loops_free(struct loops *loops);

/* Takes another plan that differs in places and figures alone, and works out again the air of one
 * microphone, or of one mix; -1: of all. */
void loops_air(struct loops *loops, const struct stage *stage, int microphone, int mix);

/* leg_to_microphone() of a path into the mix; measured, its allowance is what was measured, and no other
 * figure is in doubt. */
bool loops_leg(const struct loops *loops, int loudspeaker, int microphone, int mix,
               struct leg *leg);

/* Takes air and desk of one microphone, or of one mix, from others of the same plan's size; -1: of all.
 */
void loops_take(struct loops *loops, const struct loops *from, int microphone, int mix);

/* What the desk does on the path is multiplied by that in each band. */
void loops_scale(struct loops *loops, int microphone, int mix, const double by[BANDS]);

/* Reads the gain of every path from the desk. What is not known is remembered in `look`. */
void loops_hear(struct loops *loops, struct look *look);

/* How many paths into the mix (-1: any) from the microphone (-1: any) loops_hear() leaves out, and
 * why. What is not known is remembered in `look`, which may be that of one mix or input alone. */
struct loops_gaps {
    int unknown, unplaced;
};
struct loops_gaps loops_gaps(const struct loops *loops, struct look *look, int microphone, int mix);

/* Inputs that no microphone of the plan feeds, no line, and that are open into a mix of it, or may be: they
 * are in no figure. */
int loops_strangers(const struct loops *loops, struct look *look);

/* The place in `mixes` of a mix of the desk, -1: no loudspeaker of the plan plays it. */
int loops_mix(const struct loops *loops, int mix);

/* What loops_hear() reads. */
#define LOOPS_READS                                                                                \
    PATH_LEVEL_READS, PATH_INPUT_FILTER_READS, PATH_MIX_FILTER_READS, PARAM_INPUT_MUTE,            \
        PARAM_INPUT_NAME, PARAM_GROUP_MUTE, PARAM_MIX_MUTE

/* Of the whole stage in a band, dB: between the two bounds. -HUGE_VAL: no loop is closed. */
struct radius loops_band_db(const struct loops *loops, enum phases phases, int band);

/* The band in which the whole stage rings first, of those from LOOPS_FIRST_BAND to LOOPS_LAST_BAND. */
struct onset {
    int band;
    double gain_db; /* of its loops, the upper bound; -HUGE_VAL: none is closed */
    double gap_db;  /* how far below it the lower bound is */
};

struct onset loops_onset(const struct loops *loops, enum phases phases);

/* The same of one mix by itself with all its microphones, phases at random. */
struct onset loops_onset_of_mix(const struct loops *loops, int mix);

/* One microphone and one mix of the plan (a place in `mixes`), in the band where its loop gain is
 * highest. */
struct loop_path {
    int microphone, mix, band;
    double gain_db;
};

struct loop_path loops_path(const struct loops *loops, int microphone, int mix);

/* Its loop gain in one band, dB. */
double loops_path_in(const struct loops *loops, int microphone, int mix, int band);

/* The desk's part of it alone: the square of its magnitude. */
double loops_desk_power(const struct loops *loops, int mix, int microphone, int band);

/* The paths of most gain, the highest first; returns how many of at most `most`. */
int loops_leading(const struct loops *loops, struct loop_path *paths, int most);

/* The loudest loudspeaker of the mix at the microphone in that band; -1: the plan places none. */
int loops_loudspeaker(const struct loops *loops, int microphone, int mix, int band);

#endif
