/* SPDX-License-Identifier: MIT */
#include "loop.h"

#include <assert.h>
#include <math.h>
#include <string.h>

bool
loop_init(struct loop *loop, const struct scene *scene, const struct air *air,
          const struct state *state)
{
    bool fine;

    *loop = (struct loop){.scene = scene, .air = air};
    loop->latency = (size_t)lround(scene->latency_s * SAMPLE_RATE);
    assert(loop->latency >= BLOCK); /* the stage file's least */
    fine = console_init(&loop->console, state, scene);
    for (size_t i = 0; i < scene->loudspeaker_count; i++)
        fine &=
            cabinet_init(&loop->cabinets[i], &scene->loudspeakers[i], loop->latency + air->longest);
    return fine;
}

void
loop_release(struct loop *loop)
{
    console_release(&loop->console);
    for (size_t i = 0; i < SCENE_LOUDSPEAKERS; i++)
        cabinet_release(&loop->cabinets[i]);
}

void
loop_hear(const struct loop *loop, size_t receiver, double out[BLOCK])
{
    for (size_t i = 0; i < loop->air->loudspeakers; i++)
        cabinet_hear(&loop->cabinets[i], &loop->air->from_loudspeaker[receiver][i], loop->latency,
                     out);
}

static void
play(struct loop *loop)
{
    static const double silence[BLOCK];

    for (size_t i = 0; i < loop->scene->loudspeaker_count; i++) {
        size_t mix = loop->scene->loudspeakers[i].mix;

        cabinet_play(&loop->cabinets[i],
                     mix <= loop->console.mixes ? loop->console.mix[mix - 1].out : silence);
    }
}

void
loop_step(struct loop *loop, const double excitation[][BLOCK])
{
    for (size_t i = 0; i < loop->scene->microphone_count; i++) {
        if (excitation)
            memcpy(loop->sockets[i], excitation[i], sizeof loop->sockets[i]);
        else
            memset(loop->sockets[i], 0, sizeof loop->sockets[i]);
        if (!loop->open)
            loop_hear(loop, i, loop->sockets[i]);
    }
    console_run(&loop->console, (const double(*)[BLOCK])loop->sockets);
    if (!loop->open)
        play(loop);
}

void
loop_scale(struct loop *loop, double factor)
{
    console_scale(&loop->console, factor);
    for (size_t i = 0; i < loop->scene->loudspeaker_count; i++)
        cabinet_scale(&loop->cabinets[i], factor);
}

double
loop_energy(const struct loop *loop)
{
    double sum = 0;

    for (size_t mix = 0; mix < loop->console.mixes; mix++)
        for (size_t i = 0; loop->console.mix[mix].used && i < BLOCK; i++)
            sum += loop->console.mix[mix].out[i] * loop->console.mix[mix].out[i];
    return sum;
}
