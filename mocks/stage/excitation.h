/* SPDX-License-Identifier: MIT */
/*
 * What reaches the microphones without the loudspeakers: the room's noise, pink and each
 * microphone's own; talkers, as noise with the long-term shape and the syllables of speech; and
 * what a test plays into a socket.
 */
#ifndef MOCK_EXCITATION_H
#define MOCK_EXCITATION_H

#include "air.h"
#include "biquad.h"
#include "chance.h"
#include "delay.h"

enum { PINK_POLES = 6 };

struct pink {
    struct chance chance;
    double poles[PINK_POLES];
    double late; /* the white sample before */
};

struct voice {
    double pa; /* rms at 1 m; 0: silent */
    struct chance chance;
    struct biquad low, high;
    struct delay said;
};

struct played {
    double *samples;
    size_t count, next;
};

struct excitation {
    const struct air *air;          /* the caller's */
    double noise_pa;                /* rms; 0: none */
    double pink_scale, voice_scale; /* to rms 1 */
    unsigned long block;            /* number of this one */
    struct pink pink[SCENE_MICROPHONES];
    struct voice voices[SCENE_MICROPHONES];
    struct played played[SCENE_MICROPHONES];
};

/* False when memory is out; release it all the same. */
bool excitation_init(struct excitation *excitation, const struct scene *scene,
                     const struct air *air);
void excitation_release(struct excitation *excitation);

void excitation_noise(struct excitation *excitation, double spl);
void excitation_talk(struct excitation *excitation, size_t microphone, double spl);

/* From the next block on, in place of what was being played. False when memory is out. */
bool excitation_play(struct excitation *excitation, size_t microphone, const double *samples,
                     size_t count);

/*
 * The next block at each socket; what talkers said can then be heard at any receiver until the next
 * call.
 */
void excitation_next(struct excitation *excitation, double sockets[][BLOCK]);
void excitation_hear(const struct excitation *excitation, size_t receiver, double out[BLOCK]);

#endif
