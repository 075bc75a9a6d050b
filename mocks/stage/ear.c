/* SPDX-License-Identifier: MIT */
#include "ear.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "meter.h"

static const double TRACK_DB = 30, RING_DB = 40, LOST_DB = 25;
static const double FALL_DB = 1.5;      /* of the twin's held power in a frame: 30 dB per second */
static const double NOTHING = 1e-18;    /* power of a twin that is silent */
static const double LEAST_GROWTH = 0.5; /* dB per second that are a rise */
static const double LOOP_S = 0.015;     /* that a stage's loop takes, more or less */
static const double NEAR_S = 0.5;       /* a move that a ring began with */
static const double LEARN_S = 0.5;      /* after it was heard */
static const double RISE_DB = 40;       /* that a fast ring is measured over */
enum { WINDOW_BLOCKS = SPECTRUM_SIZE / BLOCK + 1, SURE_FRAMES = 4, MISSED_MOST = 3 };

bool
ear_init(struct ear *ear, size_t mixes)
{
    bool fine = true;

    *ear = (struct ear){.mixes = mixes};
    ear->heard = calloc(mixes, sizeof *ear->heard);
    ear->quiet = calloc(mixes, sizeof *ear->quiet);
    ear->hold = calloc(mixes * SPECTRUM_BINS, sizeof *ear->hold);
    ear->over = calloc(SPECTRUM_BINS, sizeof *ear->over);
    ear->power = calloc(SPECTRUM_BINS, sizeof *ear->power);
    ear->where = calloc(SPECTRUM_BINS, sizeof *ear->where);
    if (!ear->heard || !ear->quiet || !ear->hold || !ear->over || !ear->power || !ear->where)
        return false;
    for (size_t i = 0; i < mixes; i++) {
        fine &= history_init(&ear->heard[i], SPECTRUM_SIZE);
        fine &= history_init(&ear->quiet[i], SPECTRUM_SIZE);
    }
    return fine;
}

void
ear_release(struct ear *ear)
{
    for (size_t i = 0; ear->heard && ear->quiet && i < ear->mixes; i++) {
        history_release(&ear->heard[i]);
        history_release(&ear->quiet[i]);
    }
    free(ear->heard);
    free(ear->quiet);
    free(ear->hold);
    free(ear->over);
    free(ear->power);
    free(ear->where);
}

void
ear_forget(struct ear *ear)
{
    for (size_t i = 0; i < ear->mixes; i++) {
        history_forget(&ear->heard[i]);
        history_forget(&ear->quiet[i]);
    }
    memset(ear->hold, 0, ear->mixes * SPECTRUM_BINS * sizeof *ear->hold);
    memset(ear->tracks, 0, sizeof ear->tracks);
    ear->clipped = 0;
}

/* ---- listening ---- */

static bool
clips(const struct ear *ear)
{
    return ear->clipped > 0 && ear->blocks - ear->clipped <= WINDOW_BLOCKS;
}

static void
mind_clipping(struct ear *ear)
{
    if (!clips(ear))
        ear->clipping_since = ear->blocks;
    ear->clipped = ear->blocks;
}

void
ear_add(struct ear *ear, const struct console *console, const struct console *twin)
{
    double sum = 0;

    ear->blocks++;
    for (size_t mix = 0; mix < ear->mixes; mix++) {
        if (!console->mix[mix].used)
            continue;
        history_add(&ear->heard[mix], console->mix[mix].before);
        history_add(&ear->quiet[mix], twin->mix[mix].before);
        for (size_t i = 0; i < BLOCK; i++)
            sum += console->mix[mix].before[i] * console->mix[mix].before[i];
    }
    ear->levels[ear->blocks % EAR_BLOCKS] = 10 * log10(sum + 1e-30);
    if (console->clipped)
        mind_clipping(ear);
}

void
ear_mind_move(struct ear *ear)
{
    ear->moves[ear->move_count++ % EAR_MOVES] = ear->blocks;
}

/* ---- one frame's picture ---- */

/*
 * The mean over a twelfth to both sides, at least three bins, and never below what is held of
 * before.
 */
static void
hold_twin(double *hold, const double power[SPECTRUM_BINS])
{
    static double sums[SPECTRUM_BINS + 1];
    double fall = pow(10, -FALL_DB / 10);

    for (size_t k = 0; k < SPECTRUM_BINS; k++)
        sums[k + 1] = sums[k] + power[k];
    for (size_t k = 0; k < SPECTRUM_BINS; k++) {
        size_t reach = k / 12 > 3 ? k / 12 : 3;
        size_t from = k > reach ? k - reach : 0;
        size_t to = k + reach < SPECTRUM_BINS - 1 ? k + reach : SPECTRUM_BINS - 1;
        double mean = (sums[to + 1] - sums[from]) / (double)(to + 1 - from);

        hold[k] = fmax(fmax(mean, NOTHING), hold[k] * fall);
    }
}

static void
look_at_mix(struct ear *ear, size_t mix)
{
    static float samples[SPECTRUM_SIZE];
    static double power[SPECTRUM_BINS];
    double *hold = ear->hold + mix * SPECTRUM_BINS;

    history_last(&ear->quiet[mix], SPECTRUM_SIZE, samples);
    spectrum_power(samples, power);
    hold_twin(hold, power);
    history_last(&ear->heard[mix], SPECTRUM_SIZE, samples);
    spectrum_power(samples, power);
    for (size_t k = 0; k < SPECTRUM_BINS; k++)
        if (power[k] / hold[k] > ear->over[k]) {
            ear->over[k] = power[k] / hold[k];
            ear->power[k] = power[k];
            ear->where[k] = (unsigned short)mix;
        }
}

static void
look(struct ear *ear, const struct console *console)
{
    memset(ear->over, 0, SPECTRUM_BINS * sizeof *ear->over);
    memset(ear->power, 0, SPECTRUM_BINS * sizeof *ear->power);
    for (size_t mix = 0; mix < ear->mixes; mix++)
        if (console->mix[mix].used)
            look_at_mix(ear, mix);
}

/*
 * Peaks stand above their neighbours, and above what the window spreads of a louder one: its side
 * lobes, and 20 dB for a ring that grows within it.
 */
static bool
is_peak(const struct ear *ear, size_t k)
{
    enum { REACH = 60 };

    for (size_t other = k > REACH ? k - REACH : 1; other < k + REACH && other < SPECTRUM_BINS;
         other++) {
        double apart = fabs((double)other - (double)k);
        double spread = pow(fmax(apart, 2) / 2, -6) * 0.06;

        if (other != k && ear->power[other] * (apart < 3 ? 1 : spread) > ear->power[k])
            return false;
    }
    return true;
}

/* ---- tracks ---- */

/* The track at a frequency; else a new one where that is `new_too`, unless there is no room. */
static struct track *
find_track(struct ear *ear, double hz, bool new_too)
{
    struct track *free_one = NULL;

    for (size_t i = 0; i < EAR_TRACKS; i++) {
        struct track *track = &ear->tracks[i];

        if (!track->used)
            free_one = track;
        else if (fabs(track->ring.hz - hz) < fmax(2 * SPECTRUM_BIN_HZ, 0.01 * hz))
            return track;
    }
    if (!new_too)
        return NULL;
    if (free_one)
        *free_one = (struct track){.used = true, .ring = {.hz = hz}};
    return free_one;
}

static double
level_at(const struct ear *ear, size_t k)
{
    double sum = 0;

    for (size_t i = k > 2 ? k - 2 : 0; i <= k + 2 && i < SPECTRUM_BINS; i++)
        sum += ear->power[i];
    return 10 * log10(sum + 1e-30);
}

static void
remember_level(struct track *track, double level)
{
    if (track->count == EAR_FRAMES)
        memmove(track->levels, track->levels + 1, --track->count * sizeof *track->levels);
    track->levels[track->count++] = level;
}

/* Least squares over the remembered levels, dB per second. */
static double
slope_of(const struct track *track)
{
    double middle = ((double)track->count - 1) / 2, along = 0, across = 0;

    for (size_t i = 0; i < track->count; i++) {
        along += ((double)i - middle) * track->levels[i];
        across += ((double)i - middle) * ((double)i - middle);
    }
    return along / across / METER_FRAME_S;
}

static void
update_track(struct ear *ear, struct track *track, size_t k)
{
    track->missed = 0;
    track->over_db = 10 * log10(ear->over[k]);
    track->ring.hz = spectrum_peak_hz(ear->power, k);
    track->ring.level = level_at(ear, k);
    track->ring.mix = ear->where[k] + 1;
    track->ring.holds = clips(ear);
    if (clips(ear))
        track->count = 0;
    else
        remember_level(track, track->ring.level);
    if (track->count >= SURE_FRAMES)
        track->ring.growth = slope_of(track);
}

static double
seconds_of(unsigned long blocks)
{
    return (double)blocks * BLOCK / SAMPLE_RATE;
}

/* The move nearest to then, if one is near; else the first one after it; else then itself. */
static double
move_at(const struct ear *ear, double then)
{
    double nearest = INFINITY, after = INFINITY;

    for (size_t i = 0; i < EAR_MOVES && i < ear->move_count; i++) {
        double at = seconds_of(ear->moves[(ear->move_count - 1 - i) % EAR_MOVES]);

        if (fabs(at - then) < fabs(nearest - then))
            nearest = at;
        if (at > then && at < after)
            after = at;
    }
    if (fabs(nearest - then) <= NEAR_S)
        return nearest;
    return isinf(after) ? then : after;
}

/*
 * How far a mode that begins to grow stands over the noise already, since it has been gathering it:
 * by 1 / (2 s T^2 B) in power for a growth of s nepers per second, a loop of T and a band of B.
 */
static double
head_start_db(double growth)
{
    double nepers = growth / 8.685889638065037;

    return fmax(0, -10 * log10(2 * nepers * LOOP_S * LOOP_S * 1.5 * SPECTRUM_BIN_HZ));
}

/* Back along its growth, from the middle of the window, to the level at which it begins to grow. */
static void
reckon_back(const struct ear *ear, struct track *track)
{
    double growth = track->ring.growth;
    double middle = seconds_of(ear->blocks) - seconds_of(WINDOW_BLOCKS / 2);
    double then = middle - (track->over_db - head_start_db(growth)) / growth;

    track->ring.began = move_at(ear, fmax(0, then));
}

static bool
keeps_rising(const struct track *track)
{
    size_t rises = 0;

    for (size_t i = 1; i < track->count; i++)
        rises += track->levels[i] > track->levels[i - 1];
    return track->count >= SURE_FRAMES && rises + 1 >= track->count &&
           track->ring.growth > LEAST_GROWTH;
}

/* ---- rings ---- */

/* From levels by block: the rise that ended where clipping began, by its last RISE_DB. */
static double
growth_before_clipping(const struct ear *ear, double *began)
{
    unsigned long end = ear->clipping_since - 1, at = end;
    double top = ear->levels[end % EAR_BLOCKS];

    while (at > 1 && ear->blocks - at < EAR_BLOCKS - 1 &&
           ear->levels[at % EAR_BLOCKS] > top - RISE_DB)
        at--;
    *began = seconds_of(at);
    return at < end ? (top - ear->levels[at % EAR_BLOCKS]) / seconds_of(end - at) : 0;
}

static void
declare(struct ear *ear, struct track *track)
{
    struct stage_ring *ring = &track->ring;

    track->is_ring = true;
    ring->heard = seconds_of(ear->blocks);
    if (track->count >= SURE_FRAMES)
        reckon_back(ear, track);
    else
        ring->growth = growth_before_clipping(ear, &ring->began);
    ear->rings_heard++;
    ear->last = *ring;
}

static bool
any_ring(const struct ear *ear)
{
    for (size_t i = 0; i < EAR_TRACKS; i++)
        if (ear->tracks[i].used && ear->tracks[i].is_ring)
            return true;
    return false;
}

/* The loudest track, where something clips. */
static struct track *
loudest(struct ear *ear)
{
    struct track *found = NULL;

    for (size_t i = 0; i < EAR_TRACKS; i++) {
        struct track *track = &ear->tracks[i];

        if (track->used && track->missed == 0 && (!found || track->ring.level > found->ring.level))
            found = track;
    }
    return found;
}

static void
find_rings(struct ear *ear)
{
    struct track *most = clips(ear) && !any_ring(ear) ? loudest(ear) : NULL;

    for (size_t i = 0; i < EAR_TRACKS; i++) {
        struct track *track = &ear->tracks[i];

        if (track->used && track->missed == 0 && !track->is_ring && track->over_db >= RING_DB &&
            (clips(ear) ? track == most : keeps_rising(track)))
            declare(ear, track);
    }
}

/* The longer a ring has grown freely, the better is known how it began. */
static void
learn_more(struct ear *ear)
{
    for (size_t i = 0; i < EAR_TRACKS; i++) {
        struct track *track = &ear->tracks[i];

        if (track->is_ring && track->missed == 0 && keeps_rising(track) &&
            seconds_of(ear->blocks) < track->ring.heard + LEARN_S)
            reckon_back(ear, track);
    }
}

static void
drop_tracks(struct ear *ear)
{
    for (size_t i = 0; i < EAR_TRACKS; i++) {
        struct track *track = &ear->tracks[i];

        if (track->used && track->missed > 0)
            track->count = 0;
        if (track->missed > MISSED_MOST || (track->is_ring && track->over_db < LOST_DB))
            *track = (struct track){0};
    }
}

void
ear_frame(struct ear *ear, const struct console *console)
{
    look(ear, console);
    for (size_t i = 0; i < EAR_TRACKS; i++)
        ear->tracks[i].missed++;
    for (size_t k = 2; k < SPECTRUM_BINS - 2; k++) {
        struct track *track;

        if (10 * log10(ear->over[k]) < LOST_DB || !is_peak(ear, k))
            continue;
        track =
            find_track(ear, spectrum_peak_hz(ear->power, k), 10 * log10(ear->over[k]) >= TRACK_DB);
        if (track)
            update_track(ear, track, k);
    }
    drop_tracks(ear);
    find_rings(ear);
    learn_more(ear);
}

static int
by_level(const void *a, const void *b)
{
    const struct stage_ring *one = a, *other = b;

    return (one->level < other->level) - (one->level > other->level);
}

size_t
ear_rings(const struct ear *ear, struct stage_ring *out, size_t most)
{
    struct stage_ring rings[EAR_TRACKS] = {{0}};
    size_t count = 0;

    for (size_t i = 0; i < EAR_TRACKS; i++)
        if (ear->tracks[i].used && ear->tracks[i].is_ring)
            rings[count++] = ear->tracks[i].ring;
    qsort(rings, count, sizeof *rings, by_level);
    if (count > most)
        count = most;
    memcpy(out, rings, count * sizeof *rings);
    return count;
}
