/* SPDX-License-Identifier: MIT */
#include "response.h"

#include <string.h>

static void
copy_block(const double block[BLOCK], size_t at, double *out, size_t count)
{
    for (size_t i = 0; i < BLOCK && at + i < count; i++)
        out[at + i] += block[i];
}

/*
 * Behind one block more than the air takes, since no loudspeaker is heard within the block it
 * plays.
 */
static bool
add_loudspeaker(const struct loop *stands, size_t place, size_t microphone, double *out,
                size_t count)
{
    const struct way *way = &stands->air->from_loudspeaker[microphone][place];
    struct cabinet cabinet;
    bool fine =
        cabinet_init(&cabinet, &stands->scene->loudspeakers[place], stands->air->longest + BLOCK);

    for (size_t at = 0; fine && at < count + BLOCK; at += BLOCK) {
        double block[BLOCK] = {0};

        cabinet_hear(&cabinet, way, BLOCK, block);
        if (at >= BLOCK)
            copy_block(block, at - BLOCK, out, count);
        memset(block, 0, sizeof block);
        block[0] = at == 0;
        cabinet_play(&cabinet, block);
    }
    cabinet_release(&cabinet);
    return fine;
}

bool
response_acoustic(const struct loop *stands, size_t mix, size_t input, double *out, size_t count)
{
    bool fine = true;
    int microphone;

    if (mix >= stands->console.mixes || input >= stands->console.inputs)
        return false;
    memset(out, 0, count * sizeof *out);
    microphone = stands->console.input[input].microphone;
    for (size_t i = 0; microphone >= 0 && i < stands->scene->loudspeaker_count; i++)
        if (stands->scene->loudspeakers[i].mix == mix + 1)
            fine &= add_loudspeaker(stands, i, (size_t)microphone, out, count);
    return fine;
}

bool
response_electric(const struct loop *stands, size_t input, size_t mix, double *out, size_t count)
{
    double sockets[SCENE_MICROPHONES][BLOCK] = {{0}};
    struct console console;
    bool fine;

    if (mix >= stands->console.mixes || input >= stands->console.inputs)
        return false;
    fine = console_init(&console, stands->console.state, stands->scene);
    console.clips = false;
    memset(out, 0, count * sizeof *out);
    for (size_t i = 0; fine && i < console.inputs; i++)
        console.input[i].microphone = i == input && console.input[i].microphone >= 0 ? 0 : -1;
    for (size_t at = 0; fine && at + stands->latency < count; at += BLOCK) {
        sockets[0][0] = at == 0;
        console_run(&console, (const double(*)[BLOCK])sockets);
        copy_block(console.mix[mix].out, at + stands->latency, out, count);
    }
    console_release(&console);
    return fine;
}
