/* SPDX-License-Identifier: MIT */
/* Stage plans made by hand, beside the rig's desk. */
#ifndef GAINWARDEN_TESTS_STAGE_RIG_H
#define GAINWARDEN_TESTS_STAGE_RIG_H

#include "rig.h"
#include "stage/loops.h"

/* A loudspeaker that radiates alike all round. */
extern const struct beam stage_rig_all_round;

/* One that stands there: a microphone of the input, a loudspeaker of the mix, 0-based. */
struct stage_microphone *stage_rig_microphone(struct stage *stage, int input, struct place at);
struct stage_loudspeaker *stage_rig_loudspeaker(struct stage *stage, int mix, struct place at);

/* The rig's desk without high-passes, every send open at 0 dB; or each input's own, the mix of its
 * number, alone. */
void stage_rig_open_all(struct rig *rig, int inputs, int mixes);
void stage_rig_open_own(struct rig *rig, int count);

/* The loops as the rig's desk stands, none of them unknown; for loops_free(). */
struct loops *stage_rig_hear(struct rig *rig, const struct stage *stage);

/* The same with as many unknown as may be; how many values were missed. */
struct loops *stage_rig_hear_some(struct rig *rig, const struct stage *stage, int *missing);

#endif
