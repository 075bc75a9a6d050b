/* SPDX-License-Identifier: MIT */
#include "scene.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* First-order patterns: DPA Microphones dictionary, "1st Order Pattern". */
const struct pattern_word pattern_words[] = {
    {"omnidirectional", 1},  {"subcardioid", 0.7},   {"cardioid", 0.5}, {"supercardioid", 0.37},
    {"hypercardioid", 0.25}, {"figure-of-eight", 0}, {NULL, 0},
};

struct microphone
scene_microphone(void)
{
    return (struct microphone){
        .omni = 0.5,
        .floor =
            0.12589254117941673, /* -18 dB: real nulls are shallow; common practice, no source */
        .mv_per_pa = 2,
        .mouth_m = 0.05,
        .talker_spl = (double)-INFINITY,
    };
}

/* Widths, back and corners: common practice, no source. */
struct loudspeaker
scene_loudspeaker(void)
{
    return (struct loudspeaker){
        .sensitivity_db = 96,
        .amplifier_db = 32,
        .low_hz = 70,
        .high_hz = 16000,
        .beams = true,
        .beam = {{160, 360}, {640, 180}, {2500, 90}, {10000, 60}},
        .back_db = -20,
    };
}

void
scene_init(struct scene *scene)
{
    *scene = (struct scene){.latency_s = 0.0025, .input_dbu = 18, .output_dbu = 18};
    scene->space =
        (struct space){.paths = 40, .order = 4, .noise_spl = 45, .speed = 343, .seed = 1};
    for (size_t i = 0; i < SCENE_WALLS; i++)
        scene->space.absorption[i] = 0.35;
    for (size_t i = 0; i < SCENE_MICROPHONES; i++)
        scene->microphones[i] = scene_microphone();
    scene->space.tail =
        (struct tail){.level_db = -12, .from_s = 0.02, .per_second = 2000, .seed = 1};
}

/* "random:SEED:4x4": false after saying what is wrong. */
static bool
draw_named(struct scene *scene, const char *name)
{
    unsigned long long seed;
    unsigned microphones, loudspeakers;
    char rest;

    if (sscanf(name, "random:%20llu:%3ux%3u%c", &seed, &microphones, &loudspeakers, &rest) != 3 ||
        strpbrk(name, "-+ ") != NULL) {
        fprintf(stderr, "mock-desk: %.80s: stage: must be random:SEED:MICROPHONESxLOUDSPEAKERS\n",
                name);
        return false;
    }
    if (microphones < 1 || microphones > SCENE_MICROPHONES || loudspeakers < 1 ||
        loudspeakers > SCENE_LOUDSPEAKERS) {
        fprintf(stderr, "mock-desk: %.80s: stage: 1 to %d microphones and 1 to %d loudspeakers\n",
                name, SCENE_MICROPHONES, SCENE_LOUDSPEAKERS);
        return false;
    }
    scene_draw(scene, seed, microphones, loudspeakers);
    return true;
}

bool
scene_load(struct scene *scene, const char *what)
{
    scene_init(scene);
    if (strncmp(what, "random:", 7) == 0)
        return draw_named(scene, what);
    return scene_read(scene, what);
}
