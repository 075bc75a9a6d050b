/* SPDX-License-Identifier: MIT */
#include "onset.h"

#include <math.h>
#include <stdlib.h>

#include "chance.h"
#include "spectrum.h"

static const double BURST_S = 0.2;
static const double SEGMENT_S = 0.1; /* energies are summed up over this long */
static const double HUGE_ENERGY = 1e20, TINY_ENERGY = 1e-20;
static const double LONG_S = 4, SHORT_S = 1;
static const double NEAR_DB_PER_S = 20;   /* 0.2 to 0.4 dB off onset, where modes lie close */
static const double STILL_DB_PER_S = 0.2; /* some thousandths of a dB */
static const double FINE_DB = 0.005;
static const double HIGHEST_DB = 200; /* no loop that far down is one */
enum { SEGMENTS_MOST = 256, STEPS_MOST = 200 };

struct twin {
    struct loop loop;
    double shift_db;           /* what rescaling took out so far */
    size_t loudest;            /* mix */
    float last[SPECTRUM_SIZE]; /* of the loudest mix's output */
    size_t last_at;
};

/* Keeps what the twin holds within what numbers hold. */
static void
rescale(struct twin *twin)
{
    double energy = loop_energy(&twin->loop);

    if (energy > 0 && (energy > HUGE_ENERGY || energy < TINY_ENERGY)) {
        loop_scale(&twin->loop, 1 / sqrt(energy));
        twin->shift_db += 10 * log10(energy);
    }
}

static void
burst(struct twin *twin)
{
    struct chance chance = {.state = 20};
    double excitation[SCENE_MICROPHONES][BLOCK];

    for (int n = 0; n < (int)(BURST_S * SAMPLE_RATE / BLOCK); n++) {
        for (size_t i = 0; i < twin->loop.scene->microphone_count; i++)
            for (size_t j = 0; j < BLOCK; j++)
                excitation[i][j] = chance_between(&chance, -1, 1) * exp(-twin->shift_db * 0.1151);
        loop_step(&twin->loop, (const double(*)[BLOCK])excitation);
        rescale(twin);
    }
}

static void
keep_last(struct twin *twin)
{
    const double *out = twin->loop.console.mix[twin->loudest].out;

    for (size_t i = 0; i < BLOCK; i++)
        twin->last[(twin->last_at + i) % SPECTRUM_SIZE] = (float)out[i];
    twin->last_at = (twin->last_at + BLOCK) % SPECTRUM_SIZE;
}

/* Of two energies together. */
static double
add_db(double one, double other)
{
    double more = fmax(one, other), less = fmin(one, other);

    return less == -HUGE_VAL ? more : more + 10 * log10(1 + pow(10, (less - more) / 10));
}

/* dB of the outputs' energy over one segment; -HUGE_VAL: they are silent. */
static double
run_segment(struct twin *twin)
{
    double sum_db = -HUGE_VAL;

    for (int n = 0; n < (int)(SEGMENT_S * SAMPLE_RATE / BLOCK); n++) {
        double energy;

        loop_step(&twin->loop, NULL);
        energy = loop_energy(&twin->loop);
        if (energy > 0)
            sum_db = add_db(sum_db, 10 * log10(energy) + twin->shift_db);
        keep_last(twin);
        rescale(twin);
    }
    return sum_db;
}

/* Least squares through levels a segment apart, dB per second. */
static double
slope_of(const double *levels, size_t count)
{
    double middle = ((double)count - 1) / 2, mean = 0, along = 0, across = 0;

    for (size_t i = 0; i < count; i++)
        mean += levels[i] / (double)count;
    for (size_t i = 0; i < count; i++) {
        along += ((double)i - middle) * (levels[i] - mean);
        across += ((double)i - middle) * ((double)i - middle);
    }
    return along / across / SEGMENT_S;
}

static void
find_loudest(struct twin *twin)
{
    const struct console *console = &twin->loop.console;
    double most = -1;

    for (size_t mix = 0; mix < console->mixes; mix++) {
        double sum = 0;

        for (size_t i = 0; console->mix[mix].used && i < BLOCK; i++)
            sum += console->mix[mix].out[i] * console->mix[mix].out[i];
        if (console->mix[mix].used && sum > most) {
            most = sum;
            twin->loudest = mix;
        }
    }
}

static double
mode_hz(const struct twin *twin)
{
    float *samples = calloc(SPECTRUM_SIZE, sizeof *samples);
    double *power = calloc(SPECTRUM_BINS, sizeof *power);
    double hz = NAN;
    size_t top = 1;

    if (samples && power) {
        for (size_t i = 0; i < SPECTRUM_SIZE; i++)
            samples[i] = twin->last[(twin->last_at + i) % SPECTRUM_SIZE];
        spectrum_power(samples, power);
        for (size_t k = 1; k < SPECTRUM_BINS - 1; k++)
            top = power[k] > power[top] ? k : top;
        hz = spectrum_peak_hz(power, top);
    }
    free(samples);
    free(power);
    return hz;
}

static double
run_twin(struct twin *twin, double seconds, double *hz)
{
    size_t count = (size_t)fmin(seconds / SEGMENT_S, SEGMENTS_MOST), from = count / 2;
    double levels[SEGMENTS_MOST] = {0};

    burst(twin);
    find_loudest(twin);
    for (size_t i = 0; i < count; i++)
        levels[i] = run_segment(twin);
    if (hz)
        *hz = mode_hz(twin);
    return levels[count - 1] == -HUGE_VAL ? -HUGE_VAL : slope_of(levels + from, count - from);
}

double
onset_growth(const struct loop *stands, double raise_db, double seconds, double *hz)
{
    struct twin *twin = calloc(1, sizeof *twin);
    double growth = NAN;

    if (!twin)
        return NAN;
    if (loop_init(&twin->loop, stands->scene, stands->air, stands->console.state)) {
        twin->loop.console.clips = false;
        twin->loop.console.raise = pow(10, raise_db / 20);
        console_set(&twin->loop.console, stands->scene, true);
        growth = run_twin(twin, seconds, hz);
    }
    loop_release(&twin->loop);
    free(twin);
    return growth;
}

/* A short run first: near onset it still hears other modes die, so then a long one decides. */
static double
growth_at(const struct loop *stands, double raise_db, double *hz)
{
    double growth = onset_growth(stands, raise_db, SHORT_S, hz);

    return fabs(growth) < NEAR_DB_PER_S ? onset_growth(stands, raise_db, LONG_S, hz) : growth;
}

/* Two amounts between which growth passes 0. */
struct bracket {
    bool has_low, has_high;
    double low, high;               /* dB */
    double low_growth, high_growth; /* below 0; 0 or more */
};

static void
narrow(struct bracket *bracket, double raise, double growth)
{
    if (growth < 0) {
        bracket->has_low = true;
        bracket->low = raise;
        bracket->low_growth = growth;
    } else {
        bracket->has_high = true;
        bracket->high = raise;
        bracket->high_growth = growth;
    }
}

/*
 * From where the desk stands, down while it rings and up while it does not. False: it never does.
 */
static bool
find_bracket(const struct loop *stands, struct bracket *bracket)
{
    /* no mode comes up faster than the shortest loop lets it */
    double least_s = (double)stands->latency / SAMPLE_RATE;
    double raise = 0;

    for (int i = 0; i < STEPS_MOST && raise < HIGHEST_DB; i++) {
        double growth = growth_at(stands, raise, NULL);
        double step = fmax(1, fmin(12, fabs(growth) * least_s));

        if (isnan(growth) || growth == -HUGE_VAL)
            return false;
        narrow(bracket, raise, growth);
        if (bracket->has_low && bracket->has_high)
            return true;
        raise += growth < 0 ? step : -step;
    }
    return false;
}

double
onset_find(const struct loop *stands, double *hz)
{
    struct bracket bracket = {0};
    double raise = HUGE_VAL, growth = HUGE_VAL;

    if (!find_bracket(stands, &bracket))
        return HUGE_VAL;
    for (int i = 0;
         i < STEPS_MOST && fabs(growth) > STILL_DB_PER_S && bracket.high - bracket.low > FINE_DB;
         i++) {
        double share = bracket.low_growth / (bracket.low_growth - bracket.high_growth);

        /* by the straight line, but never so near an end that the bracket stays as it is */
        raise = bracket.low + (bracket.high - bracket.low) * fmax(0.05, fmin(0.95, share));
        growth = growth_at(stands, raise, hz);
        narrow(&bracket, raise, growth);
    }
    return raise;
}
