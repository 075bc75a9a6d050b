/* SPDX-License-Identifier: MIT */
/*
 * A loudspeaker at work: its response (corners and ripple), then the split into the bands of its
 * beam, then what the air still holds of it.
 *
 * The bands meet at the geometric means of neighbouring frequencies. Each is what a first-order
 * low-pass takes out of what the bands below left, so that all together are the signal itself: on
 * axis the loudspeaker is as flat as its response, off axis the beam sets in gently.
 */
#ifndef MOCK_CABINET_H
#define MOCK_CABINET_H

#include "air.h"
#include "biquad.h"
#include "delay.h"

struct cabinet {
    bool beams;
    size_t count; /* of filters */
    struct biquad filters[2 + SCENE_RIPPLES];
    double share[SCENE_BEAMS - 1]; /* of the low-passes between bands */
    double low[SCENE_BEAMS - 1];   /* what they hold */
    struct delay bands[SCENE_BEAMS];
    struct delay whole;
};

/*
 * `longest`: samples from the desk's output to a receiver. False when memory is out; release it all
 * the same.
 */
bool cabinet_init(struct cabinet *cabinet, const struct loudspeaker *loudspeaker, size_t longest);
void cabinet_release(struct cabinet *cabinet);

/* Plays what left the desk in the block of now. */
void cabinet_play(struct cabinet *cabinet, const double block[BLOCK]);

/* Adds what arrives now, before it plays, by a way behind `latency` samples, at least BLOCK. */
void cabinet_hear(const struct cabinet *cabinet, const struct way *way, size_t latency,
                  double out[BLOCK]);

void cabinet_forget(struct cabinet *cabinet);
void cabinet_scale(struct cabinet *cabinet, double factor);

#endif
