/* SPDX-License-Identifier: MIT */
#include "cabinet.h"

#include <math.h>
#include <string.h>

static const double PI = 3.14159265358979323846;
static const double NOTHING = 1e-40; /* taken for silence, since denormal numbers are slow */

static void
set_filters(struct cabinet *cabinet, const struct loudspeaker *loudspeaker)
{
    struct biquad sections[BUTTERWORTH] = {0};

    if (loudspeaker->low_hz > 0) {
        biquads_high_pass(sections, 2, loudspeaker->low_hz);
        cabinet->filters[cabinet->count++] = sections[0];
    }
    if (loudspeaker->high_hz > 0)
        biquad_low_pass_two(&cabinet->filters[cabinet->count++], loudspeaker->high_hz);
    for (size_t i = 0; i < loudspeaker->ripple_count; i++) {
        const struct ripple *ripple = &loudspeaker->ripples[i];

        biquad_shape(&cabinet->filters[cabinet->count++], BIQUAD_PEAK, ripple->hz, ripple->db,
                     ripple->q);
    }
}

bool
cabinet_init(struct cabinet *cabinet, const struct loudspeaker *loudspeaker, size_t longest)
{
    bool fine;

    *cabinet = (struct cabinet){.beams = loudspeaker->beams};
    set_filters(cabinet, loudspeaker);
    for (size_t i = 0; i < SCENE_BEAMS - 1; i++) {
        double hz = sqrt(loudspeaker->beam[i].hz * loudspeaker->beam[i + 1].hz);

        cabinet->share[i] = 1 - exp(-2 * PI * hz / SAMPLE_RATE);
    }
    fine = delay_init(&cabinet->whole, longest);
    for (size_t i = 0; i < SCENE_BEAMS; i++)
        fine &= delay_init(&cabinet->bands[i], loudspeaker->beams ? longest : 0);
    return fine;
}

void
cabinet_release(struct cabinet *cabinet)
{
    delay_release(&cabinet->whole);
    for (size_t i = 0; i < SCENE_BEAMS; i++)
        delay_release(&cabinet->bands[i]);
}

/* Band `band` takes its part of `rest`, which keeps what lies above. */
static void
split_band(struct cabinet *cabinet, size_t band, double rest[BLOCK], double out[BLOCK])
{
    double low = cabinet->low[band], share = cabinet->share[band];

    for (size_t i = 0; i < BLOCK; i++) {
        low += share * (rest[i] - low);
        out[i] = low;
        rest[i] -= low;
    }
    cabinet->low[band] = fabs(low) > NOTHING ? low : 0;
}

static void
play_bands(struct cabinet *cabinet, const double whole[BLOCK])
{
    double rest[BLOCK], out[BLOCK];

    memcpy(rest, whole, sizeof rest);
    for (size_t band = 0; band < SCENE_BEAMS - 1; band++) {
        split_band(cabinet, band, rest, out);
        delay_write(&cabinet->bands[band], out);
    }
    delay_write(&cabinet->bands[SCENE_BEAMS - 1], rest);
    for (size_t band = 0; band < SCENE_BEAMS; band++)
        delay_next(&cabinet->bands[band]);
}

void
cabinet_play(struct cabinet *cabinet, const double block[BLOCK])
{
    double whole[BLOCK];

    for (size_t i = 0; i < BLOCK; i++)
        whole[i] = fabs(block[i]) > NOTHING ? block[i] : 0;
    for (size_t i = 0; i < cabinet->count; i++)
        biquad_run(&cabinet->filters[i], whole, BLOCK);
    delay_write(&cabinet->whole, whole);
    delay_next(&cabinet->whole);
    if (cabinet->beams)
        play_bands(cabinet, whole);
}

/* All bands in one go, so that what comes out is read and written once. */
static void
add_split(const struct cabinet *cabinet, const struct split_tap *tap, size_t latency,
          double *restrict out)
{
    const double *restrict a = delay_read(&cabinet->bands[0], latency + tap->delay);
    const double *restrict b = delay_read(&cabinet->bands[1], latency + tap->delay);
    const double *restrict c = delay_read(&cabinet->bands[2], latency + tap->delay);
    const double *restrict d = delay_read(&cabinet->bands[3], latency + tap->delay);
    const double p = tap->factors[0], q = tap->factors[1], r = tap->factors[2], s = tap->factors[3];

    for (size_t i = 0; i < BLOCK; i++)
        out[i] += p * a[i] + q * b[i] + r * c[i] + s * d[i];
}

static void
add_plain(const struct cabinet *cabinet, const struct plain_tap *tap, size_t latency,
          double *restrict out)
{
    const double *restrict in = delay_read(&cabinet->whole, latency + tap->delay);

    for (size_t i = 0; i < BLOCK; i++)
        out[i] += tap->factor * in[i];
}

void
cabinet_hear(const struct cabinet *cabinet, const struct way *way, size_t latency,
             double out[BLOCK])
{
    _Static_assert(SCENE_BEAMS == 4, "add_split() names them one by one");

    for (size_t i = 0; i < way->split_count; i++)
        add_split(cabinet, &way->split[i], latency, out);
    for (size_t i = 0; i < way->plain_count; i++)
        add_plain(cabinet, &way->plain[i], latency, out);
}

void
cabinet_scale(struct cabinet *cabinet, double factor)
{
    delay_scale(&cabinet->whole, factor);
    for (size_t i = 0; i < SCENE_BEAMS; i++)
        delay_scale(&cabinet->bands[i], factor);
    for (size_t i = 0; i < SCENE_BEAMS - 1; i++)
        cabinet->low[i] *= factor;
    for (size_t i = 0; i < cabinet->count; i++) {
        cabinet->filters[i].z1 *= factor;
        cabinet->filters[i].z2 *= factor;
    }
}

void
cabinet_forget(struct cabinet *cabinet)
{
    cabinet_scale(cabinet, 0);
}
