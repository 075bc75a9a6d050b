/* SPDX-License-Identifier: MIT */
/* A ring-out by hand, for tests: three microphones, three wedges, ten bands an octave apart. */
#ifndef GAINWARDEN_TESTS_RING_RIG_H
#define GAINWARDEN_TESTS_RING_RIG_H

#include "proof_desk.h"
#include "ring/ringing.h"

struct ring_rig {
    struct desk *desk;
    struct show *show;
    struct ringing *ringing;
    int64_t now_ms;
    struct ring_event seen[512]; /* all that was told */
    int count;
};

/* As the book begins: input 0 alone is open, into mix 0 alone; its preamp at its lowest, 0 dB. All
 * mixes are to be rung out. */
void ring_rig_setup(struct ring_rig *rig);

/* The same of a desk the test changed: ends what ring_rig_setup() began. */
void ring_rig_again(struct ring_rig *rig, bool together);
void ring_rig_teardown(struct ring_rig *rig);

void ring_wait(struct ring_rig *rig, int ms);
void ring_move(struct ring_rig *rig, enum param_id id, int row, int column, double number);

/* The preamp of input 0 by so much; the band of mix 0 to so much; waits first. */
void ring_up(struct ring_rig *rig, int ms, double db);
void ring_cut(struct ring_rig *rig, int ms, int band, double db);

/* How often it was told, and the last of them. */
int ring_told(const struct ring_rig *rig, enum ring_kind kind);
const struct ring_event *ring_last(const struct ring_rig *rig, enum ring_kind kind);

/* Remarks of any kind. */
int ring_remarks(const struct ring_rig *rig);

enum ring_next ring_next_of(struct ring_rig *rig);

#endif
