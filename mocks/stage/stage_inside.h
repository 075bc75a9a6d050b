/* SPDX-License-Identifier: MIT */
/* What a stage is made of; for the files that implement stage.h. */
#ifndef MOCK_STAGE_INSIDE_H
#define MOCK_STAGE_INSIDE_H

#include "ear.h"
#include "excitation.h"
#include "loop.h"
#include "meter.h"
#include "stage.h"

enum { STAGE_RECORD = 65536 };

struct stage {
    struct scene scene;
    struct air *air;
    struct state own;         /* the desk, where nobody else has it */
    const struct state *desk; /* that one, or the caller's */
    bool spectra;
    unsigned long blocks, frames;
    unsigned long until_frame; /* blocks */
    struct excitation excitation;
    struct loop loop, twin; /* the twin's loudspeakers are off */
    struct ear ear;
    struct meter *input_meters, *mix_meters; /* of each input and mix of the desk */
    struct history sockets[SCENE_MICROPHONES];
    struct history *outs; /* of each mix */
};

/* A stage without anything in it yet; the scene is read. NULL after printing why. */
struct stage *stage_begin(const char *stage);

/* The rest, once stage->desk is there. NULL after printing why; the stage is gone then. */
struct stage *stage_finish(struct stage *stage, const char *name);

#endif
