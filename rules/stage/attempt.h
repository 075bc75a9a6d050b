/* SPDX-License-Identifier: MIT */
/* One thing tried on one path (stage/help.h), and what it wins. */
#ifndef GAINWARDEN_RULES_ATTEMPT_H
#define GAINWARDEN_RULES_ATTEMPT_H

#include "stage/help.h"
#include "stage/trial.h"

struct attempt {
    struct trial *trial;
    struct help help; /* what is tried and what it wins */
    int ears;         /* the first that the mix is for; -1: the plan has none */
};

void attempt_begin(struct attempt *attempt, struct trial *trial, struct loop_path path);

/* How much less comes back on the path. */
double attempt_path_db(const struct attempt *attempt);

/* What the trial as it stands wins, once the microphone and the mix are set so that all ears of the mix
 * hear the voice as before, or louder: what voice and ears win is turned down. */
void attempt_weigh(struct attempt *attempt, double voice_db);

/* The best turn of the microphone against the path's loudspeaker; false: none wins, or nobody can turn
 * it. */
bool attempt_turn(struct attempt *attempt);

#endif
