/* SPDX-License-Identifier: MIT */
/*
 * The test's ear: it hears rings with the help of what only a simulation has, a twin of the desk
 * that hears the same noise and the same talkers but whose loudspeakers are off. What a mix carries
 * beyond its twin came round the loop.
 *
 *   track   a peak that stands 30 dB over the twin; closed-loop gain short of a ring seldom reaches
 *           that (0.3 dB before onset it peaks at 29.5 dB)
 *   ring    a track that stands 40 dB over it and has been rising for four frames, no converter
 *           having clipped meanwhile
 *
 * While a converter clips, only the loudest peak can become a ring, and only if none stands: others
 * may be made by the clipping. A ring ends when it stands less than 25 dB over the twin, or is not
 * seen for three frames.
 */
#ifndef MOCK_EAR_H
#define MOCK_EAR_H

#include "history.h"
#include "loop.h"
#include "spectrum.h"
#include "stage.h"

enum {
    EAR_TRACKS = 64,
    EAR_FRAMES = 8,    /* of a track that are remembered */
    EAR_BLOCKS = 1024, /* whose levels are remembered */
    EAR_MOVES = 64,    /* of the desk that are remembered */
};

struct track {
    bool used, is_ring;
    struct stage_ring ring;
    double over_db; /* the twin */
    size_t count;   /* of levels that no clipping touched, in a row; the newest last */
    double levels[EAR_FRAMES];
    unsigned missed; /* frames in a row */
};

struct ear {
    size_t mixes;
    struct history *heard, *quiet; /* of each mix: before its converter, and the twin's */
    double *hold;                  /* mixes x SPECTRUM_BINS: the twin's power, falling slowly */
    double *over;                  /* SPECTRUM_BINS: the most that any mix stands over it */
    double *power;                 /* SPECTRUM_BINS: power there */
    unsigned short *where;         /* SPECTRUM_BINS: which mix */
    unsigned long blocks, clipped; /* of now; of the last that clipped */
    unsigned long clipping_since;
    double levels[EAR_BLOCKS];      /* dB of all mixes, by block */
    unsigned long moves[EAR_MOVES]; /* blocks, the newest at move_count - 1, in a ring */
    size_t move_count;
    unsigned long rings_heard;
    struct stage_ring last;
    struct track tracks[EAR_TRACKS];
};

/* False when memory is out; release it all the same. */
bool ear_init(struct ear *ear, size_t mixes);
void ear_release(struct ear *ear);
void ear_forget(struct ear *ear);

/* One block of the loop, and of its twin. */
void ear_add(struct ear *ear, const struct console *console, const struct console *twin);

/* The desk was moved: nothing else makes a ring begin. */
void ear_mind_move(struct ear *ear);

/* Each frame: looks for rings. */
void ear_frame(struct ear *ear, const struct console *console);

/* Rings that stand, the loudest first; returns how many. */
size_t ear_rings(const struct ear *ear, struct stage_ring *out, size_t most);

#endif
