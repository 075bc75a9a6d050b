/* SPDX-License-Identifier: MIT */
/*
 * The loop, closed and run in time, a block at a go:
 *
 *   sockets = what excites them + what the loudspeakers' past brings through the air
 *   console: sockets -> mixes;  cabinets: play the mixes
 *
 * Between a mix's output and a microphone lies at least the desk's latency, which is never shorter
 * than a block, so the result is that of a loop run sample by sample.
 */
#ifndef MOCK_LOOP_H
#define MOCK_LOOP_H

#include "air.h"
#include "cabinet.h"
#include "console.h"

struct loop {
    const struct scene *scene; /* the caller's, as is the air */
    const struct air *air;
    bool open;      /* nothing comes back from the loudspeakers */
    size_t latency; /* samples */
    struct console console;
    struct cabinet cabinets[SCENE_LOUDSPEAKERS];
    double sockets[SCENE_MICROPHONES][BLOCK];
};

/* False when memory is out; release it all the same. What is given must outlive it. */
bool loop_init(struct loop *loop, const struct scene *scene, const struct air *air,
               const struct state *state);
void loop_release(struct loop *loop);

/* One block. `excitation` is a block for each microphone's socket; NULL: silence. */
void loop_step(struct loop *loop, const double excitation[][BLOCK]);

/* What arrives now at a receiver of the air that is no microphone, in Pa. */
void loop_hear(const struct loop *loop, size_t receiver, double out[BLOCK]);

/* Everything it holds times a factor. */
void loop_scale(struct loop *loop, double factor);

/* Energy of the outputs in the last block. */
double loop_energy(const struct loop *loop);

#endif
