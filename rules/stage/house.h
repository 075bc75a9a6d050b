/* SPDX-License-Identifier: MIT */
/* What the house loudspeakers must give and can give, as the handbooks have it: needed and potential
 * acoustic gain. Sound System Design Reference Manual (1999), chapter 4 (outdoors); Handbook for
 * Sound Engineers, 4th edition, equations 34-21 to 34-24 (indoors, and open microphones).
 */
#ifndef GAINWARDEN_RULES_HOUSE_H
#define GAINWARDEN_RULES_HOUSE_H

#include <stdbool.h>

#include "stage/stage.h"

/* By which everything below what rings is to stay. */
#define HOUSE_MARGIN_DB 6.0

struct house {
    double talker_to_listener_m; /* the farthest */
    double talker_to_microphone_m;
    double microphone_to_loudspeaker_m; /* the nearest of both */
    double loudspeaker_to_listener_m;
    double equivalent_m; /* as near as the listener shall feel to the talker */
    double critical_m;   /* HUGE_VAL: outdoors */
    int open_microphones;
};

/* What sound loses between 1 m and there: -10 log10(1 / r^2 + 1 / critical^2). The handbook's
 * -10 log10(Q / (4 pi r^2) + 4 / (S a)) is this and a constant. */
double house_loss_db(double metres, double critical_m);

/* Of the microphone in the plan with the least to spare, or that is the most short; false where it places no listener, no
 * house loudspeaker or no microphone. */
bool house_of(const struct stage *stage, int open_microphones, struct house *house);

double house_needed_db(const struct house *house);
double house_potential_db(const struct house *house, double margin_db);

#endif
