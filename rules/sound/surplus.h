/* SPDX-License-Identifier: MIT */
/* Preamp gain that everything behind it takes away again. */
#ifndef GAINWARDEN_RULES_SURPLUS_H
#define GAINWARDEN_RULES_SURPLUS_H

#include <stdbool.h>

#include "look/look.h"

struct surplus {
    bool open;        /* at least one open send leads somewhere */
    bool unsettled;   /* a mix with an open send has its master off, or on a house desk the fader is
                           down: what that will ask of the preamp is not known */
    int told_on;      /* the first open input of this preamp: the finding is told there */
    double preamp_db; /* gain of the preamp, */
    double lowest_db; /* its lower end stop; NAN: not told */
    double pad_db;    /* and the attenuation before it */
    double surplus_db;  /* what could be given back: 0 or more */
    double loudest_db;  /* the loudest send's path behind the preamp, see look_behind_preamp() */
    double at_unity_db; /* the same as if every master stood at 0 dB */
    double house_db;    /* on a house desk: the way into the house, likewise; else -HUGE_VAL */
    double send_db;     /* the send of the loudest path, */
    int input, mix;     /* and where it is */
};

/* Inputs that share a preamp are one microphone: the loudest send of any of them counts. Muted
 * inputs do not count. False when a part is not known; the reason is remembered in `look`. */
bool surplus_of(struct look *look, int input, struct surplus *surplus);

/* With the masters at unity less than note_db would be unused: master-off-unity tells the cause,
 * where it is not switched off. */
bool surplus_is_masters_fault(const struct surplus *surplus, double note_db);

/* What surplus_of() reads, for the checks' tables. */
#define SURPLUS_READS                                                                              \
    LOOK_BEHIND_READS, PARAM_INPUT_MUTE, PARAM_INPUT_PREAMP, PARAM_INPUT_PREAMP_GAIN,              \
        PARAM_INPUT_PAD

#endif
