/* SPDX-License-Identifier: MIT */
/* A copy of plan and loops to try things on, and to put back as they were.
 */
#ifndef GAINWARDEN_RULES_TRIAL_H
#define GAINWARDEN_RULES_TRIAL_H

#include "stage/loops.h"

struct trial {
    const struct loops *loops; /* as they are */
    struct stage *stage;       /* what is tried */
    struct loops *tried;
    double stage_db; /* loop gain of the whole stage as it is, random phases */
};

void trial_begin(struct trial *trial, const struct loops *loops);
void trial_end(struct trial *trial);

/* All as it is: after a change of that microphone (-1: all) or mix (-1: all). */
void trial_put_back(struct trial *trial, int microphone, int mix);

/* By how much less comes back on the path, and on the whole stage; HUGE_VAL: nothing any more. */
double trial_path_db(const struct trial *trial, struct loop_path path);
double trial_stage_db(const struct trial *trial);

#endif
