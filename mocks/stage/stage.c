/* SPDX-License-Identifier: MIT */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "onset.h"
#include "response.h"
#include "stage_inside.h"

enum { FRAME_BLOCKS = 50 }; /* METER_FRAME_S */

static const double GROWTH_S = 4; /* that growth is measured over */

/* ---- making one ---- */

struct stage *
stage_begin(const char *name)
{
    struct stage *stage = calloc(1, sizeof *stage);

    if (!stage)
        fprintf(stderr, "mock-desk: %s: stage: out of memory\n", name);
    else if (scene_load(&stage->scene, name))
        return stage;
    free(stage);
    return NULL;
}

/* What a stage file cannot know: how large the desk is. False after printing what does not fit. */
static bool
fits_desk(const struct stage *stage, const char *name)
{
    const struct scene *scene = &stage->scene;
    unsigned mixes = stage->desk->counts[COUNT_MIXES];
    bool fits = true;

    for (size_t i = 0; i < scene->loudspeaker_count; i++)
        if (scene->loudspeakers[i].mix > mixes) {
            fprintf(stderr, "mock-desk: %s: loudspeakers[%zu].mix: the desk has %u mixes\n", name,
                    i, mixes);
            fits = false;
        }
    for (size_t i = 0; i < scene->microphone_count; i++) {
        bool heard = false;

        for (size_t input = 0; input < stage->loop.console.inputs; input++)
            heard |= stage->loop.console.input[input].microphone == (int)i;
        if (!heard)
            fprintf(stderr, "mock-desk: %s: microphones[%zu].socket: no input is patched to %u\n",
                    name, i, scene->microphones[i].socket);
        fits &= heard;
    }
    return fits;
}

static bool
make_meters(struct stage *stage)
{
    size_t inputs = stage->desk->counts[COUNT_INPUTS], mixes = stage->desk->counts[COUNT_MIXES];
    bool fine = true;

    stage->input_meters = calloc(inputs, sizeof *stage->input_meters);
    stage->mix_meters = calloc(mixes, sizeof *stage->mix_meters);
    stage->outs = calloc(mixes, sizeof *stage->outs);
    if (!stage->input_meters || !stage->mix_meters || !stage->outs)
        return false;
    for (size_t i = 0; i < inputs; i++)
        fine &= meter_init(&stage->input_meters[i]);
    for (size_t i = 0; i < mixes; i++)
        fine &= meter_init(&stage->mix_meters[i]) && history_init(&stage->outs[i], STAGE_RECORD);
    for (size_t i = 0; i < stage->scene.microphone_count; i++)
        fine &= history_init(&stage->sockets[i], STAGE_RECORD);
    return fine;
}

struct stage *
stage_finish(struct stage *stage, const char *name)
{
    bool fine;

    stage->spectra = true;
    stage->until_frame = FRAME_BLOCKS;
    stage->air = air_new(&stage->scene);
    fine = stage->air && excitation_init(&stage->excitation, &stage->scene, stage->air) &&
           loop_init(&stage->loop, &stage->scene, stage->air, stage->desk) &&
           loop_init(&stage->twin, &stage->scene, stage->air, stage->desk) && make_meters(stage) &&
           ear_init(&stage->ear, stage->desk->counts[COUNT_MIXES]);
    stage->twin.open = true;
    if (!fine)
        fprintf(stderr, "mock-desk: %s: stage: out of memory\n", name);
    else if (fits_desk(stage, name))
        return stage;
    stage_close(stage);
    return NULL;
}

struct stage *
stage_behind(const struct state *desk, const char *name)
{
    struct stage *stage = stage_begin(name);

    if (!stage)
        return NULL;
    stage->desk = desk;
    return stage_finish(stage, name);
}

void
stage_close(struct stage *stage)
{
    if (!stage)
        return;
    ear_release(&stage->ear);
    for (size_t i = 0; stage->input_meters && i < stage->desk->counts[COUNT_INPUTS]; i++)
        meter_release(&stage->input_meters[i]);
    for (size_t i = 0; stage->outs && i < stage->desk->counts[COUNT_MIXES]; i++) {
        meter_release(&stage->mix_meters[i]);
        history_release(&stage->outs[i]);
    }
    for (size_t i = 0; i < SCENE_MICROPHONES; i++)
        history_release(&stage->sockets[i]);
    free(stage->input_meters);
    free(stage->mix_meters);
    free(stage->outs);
    loop_release(&stage->loop);
    loop_release(&stage->twin);
    excitation_release(&stage->excitation);
    air_free(stage->air);
    state_release(&stage->own);
    free(stage);
}

bool
stage_save(const struct stage *stage, const char *file)
{
    FILE *out = fopen(file, "w");
    bool fine = out != NULL;

    if (out) {
        scene_write(&stage->scene, out);
        fine = !ferror(out);
        fine &= fclose(out) == 0;
    }
    if (!fine)
        fprintf(stderr, "mock-desk: %s: stage: %s\n", file, strerror(errno));
    return fine;
}

/* ---- time ---- */

void
stage_desk_moved(struct stage *stage)
{
    console_set(&stage->loop.console, &stage->scene, false);
    console_set(&stage->twin.console, &stage->scene, false);
    ear_mind_move(&stage->ear);
}

static void
make_frame(struct stage *stage)
{
    const struct console *console = &stage->loop.console;

    for (size_t i = 0; i < console->inputs; i++)
        if (console->input[i].microphone >= 0)
            meter_frame(&stage->input_meters[i]);
    for (size_t i = 0; i < console->mixes; i++)
        if (console->mix[i].used)
            meter_frame(&stage->mix_meters[i]);
    ear_frame(&stage->ear, console);
    stage->frames++;
}

static void
keep_block(struct stage *stage)
{
    const struct console *console = &stage->loop.console;

    for (size_t i = 0; i < stage->scene.microphone_count; i++)
        history_add(&stage->sockets[i], stage->loop.sockets[i]);
    for (size_t i = 0; i < console->inputs; i++)
        if (console->input[i].microphone >= 0)
            meter_add(&stage->input_meters[i], console->input[i].heads);
    for (size_t i = 0; i < console->mixes; i++)
        if (console->mix[i].used) {
            meter_add(&stage->mix_meters[i], console->mix[i].out);
            history_add(&stage->outs[i], console->mix[i].out);
        }
}

static void
run_block(struct stage *stage)
{
    double excitation[SCENE_MICROPHONES][BLOCK];

    excitation_next(&stage->excitation, excitation);
    loop_step(&stage->loop, (const double(*)[BLOCK])excitation);
    keep_block(stage);
    stage->blocks++;
    if (!stage->spectra)
        return;
    loop_step(&stage->twin, (const double(*)[BLOCK])excitation);
    ear_add(&stage->ear, &stage->loop.console, &stage->twin.console);
    if (--stage->until_frame == 0) {
        make_frame(stage);
        stage->until_frame = FRAME_BLOCKS;
    }
}

double
stage_run(struct stage *stage, double seconds)
{
    long blocks = seconds > 0 ? lround(seconds * SAMPLE_RATE / BLOCK) : 0;

    for (long i = 0; i < blocks; i++)
        run_block(stage);
    return stage_time(stage);
}

double
stage_time(const struct stage *stage)
{
    return (double)stage->blocks * BLOCK / SAMPLE_RATE;
}

void
stage_rest(struct stage *stage)
{
    loop_scale(&stage->loop, 0);
    loop_scale(&stage->twin, 0);
    console_settle(&stage->loop.console);
    console_settle(&stage->twin.console);
    ear_forget(&stage->ear);
    for (size_t i = 0; i < stage->desk->counts[COUNT_INPUTS]; i++)
        meter_forget(&stage->input_meters[i]);
    for (size_t i = 0; i < stage->desk->counts[COUNT_MIXES]; i++) {
        meter_forget(&stage->mix_meters[i]);
        history_forget(&stage->outs[i]);
    }
    for (size_t i = 0; i < stage->scene.microphone_count; i++)
        history_forget(&stage->sockets[i]);
}

/* ---- what sounds ---- */

void
stage_noise(struct stage *stage, double spl)
{
    excitation_noise(&stage->excitation, spl);
}

bool
stage_talk(struct stage *stage, int microphone, double spl)
{
    if (microphone < 1 || (size_t)microphone > stage->scene.microphone_count)
        return false;
    excitation_talk(&stage->excitation, (size_t)microphone - 1, spl);
    return true;
}

void
stage_spectra(struct stage *stage, bool on)
{
    stage->spectra = on;
}

bool
stage_play(struct stage *stage, int socket, const double *samples, int count)
{
    for (size_t i = 0; i < stage->scene.microphone_count; i++)
        if ((int)stage->scene.microphones[i].socket == socket && count >= 0)
            return excitation_play(&stage->excitation, i, samples, (size_t)count);
    return false;
}

/* ---- what it shows ---- */

bool
stage_has(const struct stage *stage, int kind, int number)
{
    const struct console *console = &stage->loop.console;
    size_t place = (size_t)number - 1;

    if (number < 1)
        return false;
    if (kind == STAGE_INPUT)
        return place < console->inputs && console->input[place].microphone >= 0;
    return kind == STAGE_MIX && place < console->mixes && console->mix[place].used;
}

/* NULL: no sound goes there. */
static const struct meter *
find_meter(const struct stage *stage, int kind, int number)
{
    if (!stage_has(stage, kind, number))
        return NULL;
    return kind == STAGE_INPUT ? &stage->input_meters[number - 1] : &stage->mix_meters[number - 1];
}

double
stage_meter(const struct stage *stage, int kind, int number)
{
    const struct meter *meter = find_meter(stage, kind, number);

    return meter ? meter_db(meter) : METER_LOWEST_DB;
}

bool
stage_spectrum(const struct stage *stage, int kind, int number, int bands, double *out)
{
    const struct meter *meter = find_meter(stage, kind, number);

    return meter && bands > 0 && meter_bands(meter, (size_t)bands, out);
}

unsigned long
stage_frames(const struct stage *stage)
{
    return stage->frames;
}

bool
stage_record(const struct stage *stage, int kind, int number, double *out, int count)
{
    const struct history *history;
    float *samples;

    if (!stage_has(stage, kind, number) || count < 1 || count > STAGE_RECORD)
        return false;
    samples = calloc((size_t)count, sizeof *samples);
    if (!samples)
        return false;
    history = kind == STAGE_MIX ? &stage->outs[number - 1]
                                : &stage->sockets[stage->loop.console.input[number - 1].microphone];
    history_last(history, (size_t)count, samples);
    for (int i = 0; i < count; i++)
        out[i] = (double)samples[i];
    free(samples);
    return true;
}

bool
stage_ears(const struct stage *stage, int pair, double left[], double right[])
{
    size_t first = stage->scene.microphone_count + 2 * ((size_t)pair - 1);

    if (pair < 1 || (size_t)pair > stage->scene.ears_count)
        return false;
    memset(left, 0, BLOCK * sizeof *left);
    memset(right, 0, BLOCK * sizeof *right);
    loop_hear(&stage->loop, first, left);
    loop_hear(&stage->loop, first + 1, right);
    excitation_hear(&stage->excitation, first, left);
    excitation_hear(&stage->excitation, first + 1, right);
    return true;
}

/* ---- what only the simulation knows ---- */

int
stage_rings(const struct stage *stage, struct stage_ring *out, int most)
{
    return most > 0 ? (int)ear_rings(&stage->ear, out, (size_t)most) : 0;
}

unsigned long
stage_rings_heard(const struct stage *stage, struct stage_ring *last)
{
    *last = stage->ear.last;
    return stage->ear.rings_heard;
}

double
stage_onset(const struct stage *stage, double *hz)
{
    return onset_find(&stage->loop, hz);
}

double
stage_growth(const struct stage *stage, double raise_db, double *hz)
{
    return onset_growth(&stage->loop, raise_db, GROWTH_S, hz);
}

bool
stage_acoustic(const struct stage *stage, int mix, int input, double *out, int count)
{
    return mix > 0 && input > 0 && count > 0 &&
           response_acoustic(&stage->loop, (size_t)mix - 1, (size_t)input - 1, out, (size_t)count);
}

bool
stage_electric(const struct stage *stage, int input, int mix, double *out, int count)
{
    return mix > 0 && input > 0 && count > 0 &&
           response_electric(&stage->loop, (size_t)input - 1, (size_t)mix - 1, out, (size_t)count);
}
