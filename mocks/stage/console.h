/* SPDX-License-Identifier: MIT */
/*
 * The desk's own path as it stands, sample by sample, for the inputs that a microphone feeds and
 * the mixes that feed a loudspeaker:
 *
 *   socket -> pad, preamp -> converter -> polarity, trim --+--> high-pass, eq, make-up --+--> fader --+
 *                                                  pre-eq |                  pre-fader | post-fader |
 *         +-----------------------------------------------+----------------------------+------------+
 *         +--> send --> equaliser, graphic, high-pass, fader, trim --> converter --> output
 *
 * Converters clip at full scale, 1. A muted input sends nothing at any tap; a muted group is a
 * group at off. Gates, compression and limiting are not modelled, make-up is there while the
 * compressor is on. Gains move over one block, filters from one block to the next.
 */
#ifndef MOCK_CONSOLE_H
#define MOCK_CONSOLE_H

#include "biquad.h"
#include "delay.h"
#include "scene.h"
#include "state.h"

enum {
    CONSOLE_INPUTS = 128,
    CONSOLE_MIXES = 64,
    CONSOLE_BANDS = BUTTERWORTH + 8 + 31, /* high-pass, equaliser, graphic */
};

struct ramp {
    double now, to;
};

struct chain {
    bool used[CONSOLE_BANDS];
    struct biquad biquads[CONSOLE_BANDS];
};

struct input_strip {
    int microphone; /* place in the scene; -1: no sound */
    struct ramp head, trim, makeup, post;
    struct chain chain;
    double heads[BLOCK]; /* after the converter, where its meter is */
};

struct mix_strip {
    bool used; /* it feeds a loudspeaker */
    struct ramp master;
    struct chain chain;
    double before[BLOCK]; /* the converter */
    double out[BLOCK];
};

struct send_strip {
    struct ramp level;
    unsigned tap;
};

struct console {
    const struct state *state; /* the caller's */
    size_t inputs, mixes;
    bool clips;   /* converters do */
    bool clipped; /* one did in the block of now */
    double raise; /* every input's factor beyond the state's; 1 */
    struct input_strip *input;
    struct mix_strip *mix;
    struct send_strip *sends; /* inputs x mixes */
};

/* False when memory is out; release it all the same. Both must outlive it. */
bool console_init(struct console *console, const struct state *state, const struct scene *scene);
void console_release(struct console *console);

/* Reads the state anew. `at_once`: gains do not move there, they are there. */
void console_set(struct console *console, const struct scene *scene, bool at_once);

/*
 * One block: from the sockets, in the order of the scene's microphones, to every mix_strip's `out`.
 */
void console_run(struct console *console, const double sockets[][BLOCK]);

/* Gains that are on their way are there. */
void console_settle(struct console *console);

/* Empties, or scales, all its filters. */
void console_scale(struct console *console, double factor);

#endif
