/* SPDX-License-Identifier: MIT */
/*
 * What stands on the stage, as a stage file describes it; README.md in the folder above has its
 * keys. The scene says where things are and what they are like; air.h makes of it what the sound
 * does.
 */
#ifndef MOCK_SCENE_H
#define MOCK_SCENE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include "vector.h"

enum {
    SCENE_MICROPHONES = 32,
    SCENE_LOUDSPEAKERS = 32,
    SCENE_EARS = 8,
    SCENE_RIPPLES = 16, /* peaks of one loudspeaker's response */
    SCENE_BEAMS = 4,    /* bands in which a loudspeaker's beam is told */
    SCENE_WALLS = 6,    /* x from, x to, y from, y to, floor, ceiling */
};

enum space_kind { SPACE_FREE, SPACE_FLOOR, SPACE_BOX };

struct tail {
    double t60_s;    /* 0: none */
    double level_db; /* of all of it, relative to 1 m of direct sound */
    double from_s;   /* after the direct sound */
    double per_second;
    uint64_t seed;
};

struct space {
    enum space_kind kind;
    struct vector from, to; /* of the box */
    double absorption[SCENE_WALLS];
    unsigned paths; /* of image sources that are kept for each pair, the strongest */
    unsigned order; /* reflections in one path */
    struct tail tail;
    double noise_spl; /* at each microphone; -INFINITY: none */
    double speed;     /* of sound, m/s */
    uint64_t seed;    /* of the noise */
};

struct microphone {
    unsigned socket; /* the head amp it is plugged into, from 1 */
    struct vector position, faces;
    double omni;  /* a of a + b cos(angle), a + b = 1 */
    double floor; /* least |a + b cos(angle)|, as a factor */
    double mv_per_pa;
    double mouth_m;    /* where a talker's mouth is, in front of it */
    double talker_spl; /* at 1 m; -INFINITY: silent */
};

struct beam {
    double hz;
    double degrees; /* between the points at -6 dB */
};

struct ripple {
    double hz, db, q;
};

struct loudspeaker {
    unsigned mix; /* from 1 */
    struct vector position, faces;
    double sensitivity_db;  /* SPL at 1 m for 2.83 V */
    double amplifier_db;    /* from the desk's output to its terminals */
    double low_hz, high_hz; /* second-order Butterworth; 0: none */
    bool beams;             /* false: the same everywhere */
    struct beam beam[SCENE_BEAMS];
    double back_db; /* the least a beam lets through */
    size_t ripple_count;
    struct ripple ripples[SCENE_RIPPLES];
};

struct ears {
    struct vector position, faces;
};

struct scene {
    double latency_s;  /* of the desk */
    double input_dbu;  /* full scale at an input socket, preamp at 0 dB */
    double output_dbu; /* full scale at an output socket */
    struct space space;
    size_t microphone_count, loudspeaker_count, ears_count;
    struct microphone microphones[SCENE_MICROPHONES];
    struct loudspeaker loudspeakers[SCENE_LOUDSPEAKERS];
    struct ears ears[SCENE_EARS];
};

/* Numbers that a stage file may leave out. */
void scene_init(struct scene *scene);
struct microphone scene_microphone(void);
struct loudspeaker scene_loudspeaker(void);

/* Reads a stage file, or makes the scene of "random:SEED:4x4". False after printing every error. */
bool scene_load(struct scene *scene, const char *what);
bool scene_read(struct scene *scene, const char *file);

/* A sensible stage of the seed: singers in a row, each with a wedge; then side-fills. */
void scene_draw(struct scene *scene, uint64_t seed, size_t microphones, size_t loudspeakers);

/* Writes it as a stage file that reads back the same. */
void scene_write(const struct scene *scene, FILE *file);

/* The words for patterns, ended by one without a name. */
struct pattern_word {
    const char *word;
    double omni;
};
extern const struct pattern_word pattern_words[];

#endif
