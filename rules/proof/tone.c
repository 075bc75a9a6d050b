/* SPDX-License-Identifier: MIT */
#include "proof/tone.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"

static const double first_hz = 60, last_hz = 16000;
static const double narrow_q = 6;
static const double least_power = 1e-12; /* a notch reaches 0, which has no dB */
enum { AN_OCTAVE = 12 };

static const enum param_id input_reads[] = {TONE_INPUT_READS, PARAMS};
static const enum param_id mix_reads[] = {TONE_MIX_READS, PARAMS};

double
tone_place_hz(int place)
{
    return fmin(first_hz * pow(2, place / (double)AN_OCTAVE), last_hz);
}

void
tone_release(struct tone *tone)
{
    free(tone->biquads);
    free(tone->hz);
    *tone = (struct tone){0};
}

static double
pass_db(const struct tone *tone, double hz)
{
    return tone->order > 0 ? filter_high_pass_db(tone->order, tone->corner_hz, hz, tone->rate_hz)
                           : 0;
}

double
tone_eq_db(const struct tone *tone, double hz)
{
    double warped = filter_warp(hz, tone->rate_hz), power = 1;

    for (int i = 0; i < tone->count; i++)
        power *= filter_biquad_power(&tone->biquads[i], warped);
    return 10 * log10(fmax(power, least_power));
}

double
tone_db(const struct tone *tone, double hz)
{
    return tone_eq_db(tone, hz) + pass_db(tone, hz);
}

static void
add_point(struct tone *tone, double hz)
{
    if (hz >= first_hz && hz <= last_hz)
        tone->hz[tone->points++] = hz;
}

static void
add_points(struct tone *tone, const struct control *control)
{
    double half = pow(2, filter_octaves_of_q(control->q) / 2);

    add_point(tone, control->freq_hz);
    if (control->q <= narrow_q)
        return;
    add_point(tone, control->freq_hz / half);
    add_point(tone, control->freq_hz * half);
}

static void
fill(struct tone *tone, const struct filters *filters)
{
    size_t count = (size_t)filters->count;

    *tone = (struct tone){.known = true,
                          .count = filters->count,
                          .order = filters->high_pass_order,
                          .corner_hz = filters->high_pass_hz,
                          .rate_hz = filters->rate_hz};
    if (tone->order == 0)
        tone->corner_hz = 0;
    tone->biquads = need_memory(count + 1, sizeof *tone->biquads);
    tone->hz = need_memory(3 * count + 1, sizeof *tone->hz);
    memcpy(tone->biquads, filters->biquads, count * sizeof *tone->biquads);
    for (int i = 0; i < filters->count; i++)
        add_points(tone, &filters->controls[i]);
    for (int i = 0; i < TONE_PLACES; i++) {
        tone->eq_db[i] = tone_eq_db(tone, tone_place_hz(i));
        tone->pass_db[i] = pass_db(tone, tone_place_hz(i));
    }
}

bool
tone_of_input(struct tone *tone, const struct desk *desk, int input)
{
    struct verdict aside;
    struct look look = look_reader(desk, NULL, input_reads, &aside);
    struct filters filters;
    bool was_known = tone->known;

    tone_release(tone);
    if (path_input_filters(&look, input, &filters))
        fill(tone, &filters);
    return tone->known != was_known;
}

bool
tone_of_mix(struct tone *tone, const struct desk *desk, int mix)
{
    struct verdict aside;
    struct look look = look_reader(desk, NULL, mix_reads, &aside);
    struct filters filters;
    bool was_known = tone->known;

    tone_release(tone);
    if (path_mix_filters(&look, mix, &filters))
        fill(tone, &filters);
    return tone->known != was_known;
}

bool
tone_same(const struct tone *one, const struct tone *other)
{
    if (one->count != other->count || one->order != other->order ||
        one->corner_hz != other->corner_hz || one->rate_hz != other->rate_hz)
        return false;
    for (int i = 0; i < one->count; i++)
        if (!filter_same(&one->biquads[i], &other->biquads[i]))
            return false;
    return true;
}
