/* SPDX-License-Identifier: MIT */
/*
 * The air between loudspeakers and those that hear them: for each pair a list of taps, each a delay
 * in whole samples (7 mm) and a factor. The factors turn a loudspeaker's filtered output, 1 at full
 * scale, into the socket's, 1 at full scale with the preamp at 0 dB; for ears into Pa.
 *
 * Image sources pass a beam whose width depends on frequency: such a tap has a factor for each band
 * into which the loudspeaker splits its signal (cabinet.h). A loudspeaker without a beam and the
 * tail have plain taps.
 */
#ifndef MOCK_AIR_H
#define MOCK_AIR_H

#include "scene.h"

struct split_tap {
    size_t delay; /* samples */
    double factors[SCENE_BEAMS];
};

struct plain_tap {
    size_t delay;
    double factor;
};

/* From one loudspeaker, or one talker's mouth, to one receiver. */
struct way {
    size_t split_count, plain_count;
    struct split_tap *split;
    struct plain_tap *plain;
};

enum { AIR_RECEIVERS = SCENE_MICROPHONES + 2 * SCENE_EARS };

/*
 * Receivers: the microphones, then left and right of each pair of ears. Mouths: one before each
 * microphone.
 */
struct air {
    size_t receivers, microphones, loudspeakers;
    size_t longest; /* delay */
    struct way from_loudspeaker[AIR_RECEIVERS][SCENE_LOUDSPEAKERS];
    struct way from_mouth[AIR_RECEIVERS][SCENE_MICROPHONES]; /* of pressure in Pa at 1 m */
    double per_pa[SCENE_MICROPHONES];                        /* at the socket, full scale 1 */
};

/* NULL when memory is out. */
struct air *air_new(const struct scene *scene);
void air_free(struct air *air);

#endif
