/* SPDX-License-Identifier: MIT */
#include "spectrum.h"

#include <math.h>
#include <stdbool.h>

enum { HALF = SPECTRUM_SIZE / 2, HALF_BITS = 12 };

static const double PI = 3.14159265358979323846;

struct point { /* complex */
    double re, im;
};

struct tables {
    bool filled;
    double window[SPECTRUM_SIZE];
    struct point turns[HALF]; /* exp(-2 pi i k / SPECTRUM_SIZE) */
    unsigned short reversed[HALF];
};

static struct tables tables;

static void
fill_tables(void)
{
    if (tables.filled)
        return;
    for (size_t i = 0; i < SPECTRUM_SIZE; i++)
        tables.window[i] = 0.5 - 0.5 * cos(2 * PI * (double)i / SPECTRUM_SIZE);
    for (size_t i = 0; i < HALF; i++)
        tables.turns[i] = (struct point){cos(2 * PI * (double)i / SPECTRUM_SIZE),
                                         -sin(2 * PI * (double)i / SPECTRUM_SIZE)};
    for (unsigned i = 0; i < HALF; i++) {
        unsigned turned = 0;

        for (unsigned bit = 0; bit < HALF_BITS; bit++)
            turned |= (i >> bit & 1) << (HALF_BITS - 1 - bit);
        tables.reversed[i] = (unsigned short)turned;
    }
    tables.filled = true;
}

static struct point
product(struct point a, struct point b)
{
    return (struct point){a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re};
}

static void
cross(struct point *one, struct point *other, struct point turn)
{
    struct point turned = product(*other, turn), kept = *one;

    *one = (struct point){kept.re + turned.re, kept.im + turned.im};
    *other = (struct point){kept.re - turned.re, kept.im - turned.im};
}

/* Cooley and Tukey's, in place, of HALF points that lie in bit-reversed order. */
static void
transform(struct point *points)
{
    for (size_t size = 2; size <= HALF; size *= 2)
        for (size_t start = 0; start < HALF; start += size)
            for (size_t i = 0; i < size / 2; i++)
                cross(&points[start + i], &points[start + i + size / 2],
                      tables.turns[i * (SPECTRUM_SIZE / size)]);
}

/* Even samples are the real parts and odd ones the imaginary parts of a transform of half the size,
 * taken apart here: bin k of the even ones is (a + b*) / 2, of the odd ones (a - b*) / 2i. */
static double
bin_power(const struct point *points, size_t k)
{
    struct point a = points[k], b = points[(HALF - k) % HALF];
    struct point even = {(a.re + b.re) / 2, (a.im - b.im) / 2};
    struct point odd =
        product((struct point){(a.im + b.im) / 2, (b.re - a.re) / 2}, tables.turns[k]);
    double re = even.re + odd.re, im = even.im + odd.im;

    return re * re + im * im;
}

void
spectrum_power(const float samples[SPECTRUM_SIZE], double power[SPECTRUM_BINS])
{
    static struct point points[HALF];
    const double mean_square = 0.375; /* of the window */
    const double scale = 2 / (mean_square * SPECTRUM_SIZE * (double)SPECTRUM_SIZE);

    fill_tables();
    for (size_t i = 0; i < HALF; i++)
        points[tables.reversed[i]] =
            (struct point){(double)samples[2 * i] * tables.window[2 * i],
                           (double)samples[2 * i + 1] * tables.window[2 * i + 1]};
    transform(points);
    for (size_t k = 0; k < HALF; k++)
        power[k] = scale * bin_power(points, k);
}

/*
 * What lies from 0 Hz to an edge, from the sums of whole bins below each; bin k reaches half a bin
 * to both sides.
 */
static double
power_below(const double sums[SPECTRUM_BINS + 1], double hz)
{
    double place = fmin(hz / SPECTRUM_BIN_HZ + 0.5, SPECTRUM_BINS);
    size_t whole = (size_t)place;

    if (whole >= SPECTRUM_BINS)
        return sums[SPECTRUM_BINS];
    return sums[whole] + (place - (double)whole) * (sums[whole + 1] - sums[whole]);
}

void
spectrum_bands(const double power[SPECTRUM_BINS], size_t bands, double *out)
{
    static double sums[SPECTRUM_BINS + 1];
    bool thirds = bands == SPECTRUM_THIRDS;
    double ratio = thirds ? pow(10, 0.1) : pow(10, 0.03);
    double edge = thirds ? 1000 * pow(10, -1.75) : 20;
    double below;

    for (size_t k = 0; k < SPECTRUM_BINS; k++)
        sums[k + 1] = sums[k] + power[k];
    below = power_below(sums, edge);
    for (size_t i = 0; i < bands; i++) {
        double above = power_below(sums, edge *= ratio);

        out[i] = above - below;
        below = above;
    }
}

double
spectrum_peak_hz(const double power[SPECTRUM_BINS], size_t k)
{
    double left = log(power[k - 1] + 1e-300), top = log(power[k] + 1e-300);
    double right = log(power[k + 1] + 1e-300);
    double bend = left - 2 * top + right;
    double shift = bend < 0 ? (left - right) / (2 * bend) : 0;

    return ((double)k + fmax(-0.5, fmin(0.5, shift))) * SPECTRUM_BIN_HZ;
}
