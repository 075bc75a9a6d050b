/* SPDX-License-Identifier: MIT */
/* The stage plan as values: where microphones, loudspeakers and ears are, which way they face, and
 * what turns volts into sound and back. A reader fills it, the rules of this room compute with it.
 *
 * Places are metres: x to the right as the audience sees the stage, y away from the audience, z up.
 * Each figure keeps beside it whether the plan gives it or a default stands in: how far an estimate
 * may be off follows from that (doubt.h).
 */
#ifndef GAINWARDEN_RULES_STAGE_H
#define GAINWARDEN_RULES_STAGE_H

#include <stdbool.h>

#include "desk/show.h"
#include "stage/beam.h"
#include "stage/pattern.h"

/* Where a figure comes from. What has no default has a stand-in, so that differences can be worked
 * out without it; absolute figures cannot. What is exact is nobody's to state. */
enum how { STANDS_IN, BY_DEFAULT, GIVEN, EXACT };

struct stated {
    double number;
    enum how how;
};

struct place {
    double x_m, y_m, z_m;
};

enum {
    STAGE_MICROPHONES = 64,
    STAGE_LOUDSPEAKERS = 32,
    STAGE_EARS = 64,
    STAGE_MIXES = 64, /* that its loudspeakers play together */
    STAGE_PAIRS = 256,
    STAGE_SERVES = 8 /* inputs a microphone feeds, or mixes a loudspeaker serves */
};

/* Inputs or mixes, 0-based. */
struct serves {
    int count, of[STAGE_SERVES];
};

/* From this near on the inverse square stops: nobody holds a microphone into a loudspeaker. */
#define STAGE_NEAREST_M 0.05

struct stage_microphone {
    struct serves inputs;
    bool of_pair; /* a pair alone names it */
    bool placed;  /* else only pairs tell where it stands */
    struct place at;
    struct place axis; /* of length 1: towards the mouth */
    enum how axis_how;
    enum polar pattern;
    enum how pattern_how;
    struct stated floor_db; /* its null is no deeper than this */
    struct stated sensitivity_mv_per_pa;
    struct stated mouth_m;
    bool in_hand; /* nobody can turn it for good; else it stands on a stand */
};

struct stage_loudspeaker {
    struct serves mixes;
    bool of_pair; /* a pair alone names it */
    bool placed, house;
    struct place at;
    struct place axis; /* of length 1; unless given it faces ears, see stage_loudspeaker_axis() */
    enum how axis_how;
    struct stated sensitivity_db; /* at 1 m for 2.83 V */
    struct stated amplifier_db;   /* from the desk's output to its terminals */
    struct stated from_hz;        /* 3 dB down there, and falling below by 12 dB per octave */
    struct beam beam;             /* unless given, beam_usual */
    enum how beam_how;
};

struct stage_ears {
    int mix;                     /* the mix they are to hear; -1: not said */
    char player[SHOW_NAME_SIZE]; /* "" when not said */
    struct place at;
    struct stated noise_db;       /* of the stage, at these ears; STANDS_IN: nobody said */
    struct stated above_noise_db; /* how far above that the player needs it */
};

/* One microphone and one loudspeaker measured with a tape, in place of both their places. */
struct stage_pair {
    int microphone, loudspeaker;
    double metres;
    double microphone_degrees, loudspeaker_degrees; /* off the axis of each the other is seen at */
};

struct stage {
    struct stage_microphone microphones[STAGE_MICROPHONES];
    struct stage_loudspeaker loudspeakers[STAGE_LOUDSPEAKERS];
    struct stage_ears ears[STAGE_EARS];
    struct stage_pair pairs[STAGE_PAIRS];
    int microphone_count, loudspeaker_count, ears_count, pair_count;
    struct stated critical_m; /* of a source that radiates alike all round; HUGE_VAL: open air */
    struct stated calibration_db; /* the desk's output level at full scale less its input level at
                                     full scale with the preamp at 0 */
    struct stated voice_db;       /* what comes out of a mouth, dB SPL at STAGE_VOICE_M */
    bool listens;                 /* `listener` is given: */
    struct place listener;        /* who sits farthest from the house loudspeakers' stage */
    struct stated equivalent_m;   /* as near as that listener shall feel to the talker */
};

#define STAGE_VOICE_M 0.5

/* An empty plan in which every default stands; for free(). */
struct stage *stage_new(void);

/* One more, with every default; NULL: there is no room for it. They belong to the plan. */
struct stage_microphone *stage_add_microphone(struct stage *stage);
struct stage_loudspeaker *stage_add_loudspeaker(struct stage *stage);
struct stage_ears *stage_add_ears(struct stage *stage);

/* A pair of the short form: the microphone that feeds `input` and the loudspeaker that serves `mix`
 * are made unless the plan has them. NULL: there is no room for it. */
struct stage_pair *stage_add_pair(struct stage *stage, int input, int mix);

bool serves_has(const struct serves *serves, int one);

/* The mixes that its loudspeakers play, each once: how many there are; the first `room` of them are
 * put into `mixes`. */
int stage_mixes(const struct stage *stage, int *mixes, int room);

/* How many loudspeakers play the mix. */
int stage_loudspeakers_of(const struct stage *stage, int mix);

/* The critical distance of a source that radiates alike all round in a room of that volume and
 * reverberation time: where 1 / (4 pi r^2) = 4 / (S a), with S a = 24 ln 10 / c V / T60 (W. C. Sabine;
 * the 0.161 s/m of the handbooks, from memory). */
double stage_critical_m(double volume_m3, double reverberation_s);

/* What it makes of 0 dB SPL on its axis, dB against 1 V. */
double stage_microphone_db(const struct stage_microphone *microphone);

/* The axis as given; else towards the nearest ears that one of its mixes is for, else the nearest
 * microphone. House loudspeakers face the audience. */
struct place stage_loudspeaker_axis(const struct stage *stage, int loudspeaker);

#endif
