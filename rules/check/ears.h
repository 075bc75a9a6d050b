/* SPDX-License-Identifier: MIT */
/* Protection of one ear is what is left of the loudest that a desk can send, a peak at full scale:
 *
 *     takes off = (0 - threshold) x (1 - 1 / ratio) - what lies behind the limiter
 *
 * Behind it lie master and trim where the limiter sits before them, and only what they add: a
 * master that stands low comes up in one move. A limiter that takes enough off may still be late:
 * far above what the mix carries, or slow.
 */
#ifndef GAINWARDEN_RULES_EARS_H
#define GAINWARDEN_RULES_EARS_H

#include "look/look.h"

/* The settings of ears-unprotected. */
enum { LEAST_RATIO, FIX_RATIO, LEAST_TAKEN_DB, ABOVE_MIX_DB, MOST_ATTACK_MS, MOST_RELEASE_MS };

/* What ear_of() reads. */
#define EAR_READS                                                                                  \
    PARAM_MIX_LIMITER_ON, PARAM_MIX_LIMITER_THRESHOLD, PARAM_MIX_LIMITER_RATIO,                    \
        PARAM_MIX_LIMITER_ATTACK, PARAM_MIX_LIMITER_RELEASE, PARAM_MIX_FADER, PARAM_MIX_TRIM,      \
        PARAM_MIX_LEVEL

/* What is wrong with an ear, the worst last. It is the severity. */
enum grade {
    GRADE_UNKNOWN,
    GRADE_GOOD,
    GRADE_HOLDS_ON, /* a long release */
    GRADE_SLOW,     /* a slow attack */
    GRADE_HIGH,     /* far above what the mix carries */
    GRADE_DIFFERS,  /* from the other ear */
    GRADE_SOFT,
    GRADE_SOFTER,
    GRADE_LATE, /* near full scale */
    GRADE_NOTHING,
    GRADE_OFF,
    GRADES
};

struct ear {
    int mix;
    enum grade grade;
    double threshold_db, ratio;
    double behind_db; /* what it is lifted by behind the limiter; never less than 0 */
    double moved_db;  /* the same with its sign; where nobody told, what alarms less */
    double level_db, attack_ms, release_ms;
};

/* How the limiter of the mix stands; GRADE_UNKNOWN with the reasons remembered. */
struct ear ear_of(struct look *look, int mix);

/* What the limiter takes off a peak at full scale, after what lies behind it. */
double ear_taken_db(const struct ear *ear);

/* By how much louder than what the mix carries something must be to be limited. */
double ear_above_mix_db(const struct ear *ear);

#endif
