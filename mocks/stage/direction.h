/* SPDX-License-Identifier: MIT */
/* What direction does to the sound a microphone picks up and a loudspeaker radiates. */
#ifndef MOCK_DIRECTION_H
#define MOCK_DIRECTION_H

#include "scene.h"

/*
 * a + b cos(angle) for sound that comes from `source`, its sign kept, never smaller than the floor.
 */
double microphone_factor(const struct microphone *microphone, struct vector source);

/* Of a band of the beam towards `target`: -6 dB (angle / half width)^2, never below back_db. */
double loudspeaker_factor(const struct loudspeaker *loudspeaker, size_t band, struct vector target);

#endif
