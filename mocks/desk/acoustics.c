/* SPDX-License-Identifier: MIT */
#include "acoustics.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { BLOCK_SAMPLES = 48 };

static const int64_t BLOCK_US = 1000;
static const int64_t STEP_US = 5000;      /* it goes on in steps of so much */
static const int64_t MOST_US = 50000;     /* at a go, so that packets are answered meanwhile */
static const int64_t GIVE_UP_US = 300000; /* behind the clock, the rest is let go */
static const int64_t FIRST_LOAD_US = 5000000, NEXT_LOAD_US = 60000000;
static const double MOVED_DB = 0.5;     /* of a meter that is pushed */
static const unsigned LEVELS_EVERY = 2; /* frames: ten times a second */

static double
cpu_s(void)
{
    struct timespec now;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static bool
open_ears(struct acoustics *acoustics, const struct options *options)
{
    double left[BLOCK_SAMPLES], right[BLOCK_SAMPLES];

    acoustics->pair = options->ears;
    if (!options->hear_file)
        return true;
    if (!stage_ears(acoustics->stage, acoustics->pair, left, right)) {
        fprintf(stderr, "mock-desk: --ears: the stage has no pair of ears number %d\n",
                options->ears);
        return false;
    }
    acoustics->wav = wav_open(options->hear_file);
    return acoustics->wav != NULL;
}

bool
acoustics_open(struct acoustics *acoustics, const struct options *options, struct desk *desk,
               int64_t now_us)
{
    *acoustics = (struct acoustics){
        .desk = desk, .asked = options->clock_asked, .begun_us = now_us, .told_us = now_us};
    if (!options->stage)
        return true;
    acoustics->stage = stage_behind(&desk->state, options->stage);
    if (!acoustics->stage)
        return false;
    desk->stage = acoustics->stage;
    acoustics->pushed_inputs = calloc(desk->state.counts[COUNT_INPUTS], sizeof(double));
    acoustics->pushed_mixes = calloc(desk->state.counts[COUNT_MIXES], sizeof(double));
    if (acoustics->pushed_inputs && acoustics->pushed_mixes)
        return open_ears(acoustics, options);
    fputs("mock-desk: start: memory: out of memory\n", stderr);
    return false;
}

void
acoustics_close(struct acoustics *acoustics)
{
    wav_close(acoustics->wav);
    stage_close(acoustics->stage);
    free(acoustics->pushed_inputs);
    free(acoustics->pushed_mixes);
}

/* ---- what the desk shows ---- */

static void
follow_meter(struct acoustics *acoustics, int kind, size_t place, int64_t now_us)
{
    struct desk *desk = acoustics->desk;
    const struct field *field = field_find(kind == STAGE_INPUT ? SCOPE_INPUT : SCOPE_MIX, "level");
    double *pushed =
        (kind == STAGE_INPUT ? acoustics->pushed_inputs : acoustics->pushed_mixes) + place;
    double db = stage_meter(acoustics->stage, kind, (int)place + 1);

    state_set_number(&desk->state, field, place, db);
    if (fabs(db - *pushed) < MOVED_DB || faults_is_on(desk->faults, FAULT_SILENT))
        return;
    *pushed = db;
    desk_push(desk, field, place, now_us);
}

static void
follow_meters(struct acoustics *acoustics, int64_t now_us)
{
    const unsigned *counts = acoustics->desk->state.counts;

    for (size_t i = 0; i < counts[COUNT_INPUTS]; i++)
        if (stage_has(acoustics->stage, STAGE_INPUT, (int)i + 1))
            follow_meter(acoustics, STAGE_INPUT, i, now_us);
    for (size_t i = 0; i < counts[COUNT_MIXES]; i++)
        if (stage_has(acoustics->stage, STAGE_MIX, (int)i + 1))
            follow_meter(acoustics, STAGE_MIX, i, now_us);
}

static void
publish(struct acoustics *acoustics, int64_t now_us)
{
    unsigned long frames = stage_frames(acoustics->stage);

    if (frames == acoustics->frames)
        return;
    acoustics->frames = frames;
    desk_push_spectra(acoustics->desk, now_us);
    if (frames % LEVELS_EVERY == 0)
        follow_meters(acoustics, now_us);
}

/* ---- time ---- */

static void
run_block(struct acoustics *acoustics)
{
    double left[BLOCK_SAMPLES], right[BLOCK_SAMPLES];

    stage_run(acoustics->stage, (double)BLOCK_US * 1e-6);
    if (acoustics->wav && stage_ears(acoustics->stage, acoustics->pair, left, right))
        wav_add(acoustics->wav, left, right, BLOCK_SAMPLES);
}

static void
run_blocks(struct acoustics *acoustics, long blocks, int64_t now_us)
{
    double before = cpu_s();

    if (acoustics->desk->moved) {
        stage_desk_moved(acoustics->stage);
        acoustics->desk->moved = false;
    }
    for (long i = 0; i < blocks; i++) {
        run_block(acoustics);
        publish(acoustics, now_us);
    }
    acoustics->busy_s += cpu_s() - before;
}

void
acoustics_run(struct acoustics *acoustics, double seconds, int64_t now_us)
{
    if (acoustics->stage && seconds > 0)
        run_blocks(acoustics, lround(seconds * 1e6 / (double)BLOCK_US), now_us);
}

static void
tell_load(struct acoustics *acoustics, int64_t now_us)
{
    bool first = acoustics->busy_since_s == 0;

    if (now_us - acoustics->told_us < (first ? FIRST_LOAD_US : NEXT_LOAD_US))
        return;
    acoustics->load = (acoustics->busy_s - acoustics->busy_since_s) /
                      ((double)(now_us - acoustics->told_us) * 1e-6);
    acoustics->busy_since_s = acoustics->busy_s;
    acoustics->told_us = now_us;
    printf("mock-desk: stage: load %.2f of one core", acoustics->load);
    if (acoustics->let_go_us > 0)
        printf(", %.1f s could not be kept up with", (double)acoustics->let_go_us * 1e-6);
    putchar('\n');
    acoustics->let_go_us = 0;
    fflush(stdout);
}

static int64_t
behind_us(const struct acoustics *acoustics, int64_t now_us)
{
    return now_us - acoustics->begun_us - llround(stage_time(acoustics->stage) * 1e6);
}

void
acoustics_go_on(struct acoustics *acoustics, int64_t now_us)
{
    int64_t behind;

    if (!acoustics->stage || acoustics->asked)
        return;
    behind = behind_us(acoustics, now_us);
    if (behind > GIVE_UP_US) {
        acoustics->let_go_us += behind;
        acoustics->begun_us += behind;
        return;
    }
    run_blocks(acoustics, (long)((behind < MOST_US ? behind : MOST_US) / BLOCK_US), now_us);
    tell_load(acoustics, now_us);
}

int64_t
acoustics_next_us(const struct acoustics *acoustics)
{
    if (!acoustics->stage || acoustics->asked)
        return INT64_MAX;
    return acoustics->begun_us + llround(stage_time(acoustics->stage) * 1e6) + STEP_US;
}
