/* SPDX-License-Identifier: MIT */
/* What a player can have: how loud their voice may get at their ears while the mix stays a margin
 * below its onset, against what they need over the noise of the stage.
 *
 *   voice at the microphone + gain from there to the ears - loop gain of the mix - margin
 *
 * The mix's loop gain is that of all its open microphones at random phases, so what is common to both
 * ways, from the microphone's sensitivity to the loudspeaker's, cancels: places, directions and the
 * desk's filters decide, and nothing absolute need be stated. Bands are weighed by speech.
 */
#ifndef GAINWARDEN_RULES_EARS_H
#define GAINWARDEN_RULES_EARS_H

#include "stage/loops.h"

struct ears_level {
    int microphone, mix;    /* the player's own: the nearest that is open into the mix */
    double voice_db;        /* dB SPL at the microphone */
    double level_db;        /* dB SPL at the ears with that margin */
    double give_or_take_db; /* either way, in nine cases of ten */
    double needed_db;       /* NAN: the plan states no noise */
    double spare_db;        /* level less needed: below 0 it is short by as much. Or NAN */
};

/* Why nothing can be told of ears. */
enum ears_why {
    EARS_HEAR,           /* it can */
    EARS_NO_LOUDSPEAKER, /* no loudspeaker of the plan plays their mix */
    EARS_NOTHING_OPEN,   /* no microphone of the plan that stands somewhere is open into it */
    EARS_NO_WAY          /* the plan does not tell how its loudspeakers reach them */
};

/* The player's own microphone: the nearest that is open into the mix; -1: none is. */
int ears_microphone(const struct loops *loops, int ears);

/* With so much margin. */
enum ears_why ears_level(const struct loops *loops, int ears, double margin_db,
                         struct ears_level *level);

/* dB SPL at the ears per dB SPL at the microphone, as the desk stands; -HUGE_VAL: nothing. Means
 * something only against another such figure or a loop gain of the same plan. */
double ears_gain_db(const struct loops *loops, int ears, int microphone, int mix);

#endif
