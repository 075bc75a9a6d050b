/* SPDX-License-Identifier: MIT */
#include "biquad.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

static const double PI = 3.14159265358979323846;
static const double HIGHEST_HZ = 0.499 * SAMPLE_RATE;
static const double NOTHING =
    1e-40; /* below it a section forgets, since denormal numbers are slow */

static void
set(struct biquad *biquad, const double b[3], const double a[3])
{
    biquad->b0 = b[0] / a[0];
    biquad->b1 = b[1] / a[0];
    biquad->b2 = b[2] / a[0];
    biquad->a1 = a[1] / a[0];
    biquad->a2 = a[2] / a[0];
}

void
biquad_pass(struct biquad *biquad)
{
    set(biquad, (const double[3]){1, 0, 0}, (const double[3]){1, 0, 0});
}

static void
set_shelf(struct biquad *biquad, bool high, double cosine, double alpha, double db)
{
    double amp = pow(10, db / 40);
    double c = high ? -cosine : cosine; /* the high shelf is the low one turned round */
    double root = 2 * sqrt(amp) * alpha;
    double sign = high ? -1 : 1;
    double b[3] = {amp * (amp + 1 - (amp - 1) * c + root),
                   sign * 2 * amp * (amp - 1 - (amp + 1) * c),
                   amp * (amp + 1 - (amp - 1) * c - root)};
    double a[3] = {amp + 1 + (amp - 1) * c + root, sign * -2 * (amp - 1 + (amp + 1) * c),
                   amp + 1 + (amp - 1) * c - root};

    set(biquad, b, a);
}

void
biquad_shape(struct biquad *biquad, enum biquad_shape shape, double hz, double db, double q)
{
    double w = 2 * PI * fmin(hz, HIGHEST_HZ) / SAMPLE_RATE;
    double c = cos(w), alpha = sin(w) / (2 * q), amp = pow(10, db / 40);
    double a[3] = {1 + alpha, -2 * c, 1 - alpha};

    switch (shape) {
    case BIQUAD_PEAK:
        set(biquad, (const double[3]){1 + alpha * amp, -2 * c, 1 - alpha * amp},
            (const double[3]){1 + alpha / amp, -2 * c, 1 - alpha / amp});
        break;
    case BIQUAD_LOW_SHELF:
    case BIQUAD_HIGH_SHELF:
        set_shelf(biquad, shape == BIQUAD_HIGH_SHELF, c, alpha, db);
        break;
    case BIQUAD_LOW_PASS:
        set(biquad, (const double[3]){(1 - c) / 2, 1 - c, (1 - c) / 2}, a);
        break;
    case BIQUAD_HIGH_PASS:
        set(biquad, (const double[3]){(1 + c) / 2, -(1 + c), (1 + c) / 2}, a);
        break;
    case BIQUAD_NOTCH:
        set(biquad, (const double[3]){1, -2 * c, 1}, a);
        break;
    }
}

/* A first-order high-pass, bilinear with its corner kept in place. */
static void
set_first_order(struct biquad *biquad, double hz)
{
    double t = tan(PI * fmin(hz, HIGHEST_HZ) / SAMPLE_RATE);

    set(biquad, (const double[3]){1, -1, 0}, (const double[3]){1 + t, t - 1, 0});
}

void
biquads_high_pass(struct biquad biquads[BUTTERWORTH], unsigned order, double hz)
{
    unsigned pairs = order / 2;

    for (unsigned i = 0; i < BUTTERWORTH; i++) {
        /* the angle of a pair of Butterworth poles off the negative real axis */
        double angle = PI * (2 * i + 1 + order % 2) / (2.0 * order);

        if (i < pairs)
            biquad_shape(&biquads[i], BIQUAD_HIGH_PASS, hz, 0, 1 / (2 * cos(angle)));
        else if (i == pairs && order % 2 == 1)
            set_first_order(&biquads[i], hz);
        else
            biquad_pass(&biquads[i]);
    }
}

void
biquad_low_pass_two(struct biquad *biquad, double hz)
{
    biquad_shape(biquad, BIQUAD_LOW_PASS, hz, 0, sqrt(0.5));
}

double
biquad_q_of_octaves(double octaves, double hz)
{
    double w = 2 * PI * fmin(hz, HIGHEST_HZ) / SAMPLE_RATE;

    return 1 / (2 * sinh(log(2) / 2 * octaves * w / sin(w)));
}

void
biquad_run(struct biquad *biquad, double *samples, size_t count)
{
    double z1 = biquad->z1, z2 = biquad->z2;

    for (size_t i = 0; i < count; i++) {
        double in = samples[i];
        double out = biquad->b0 * in + z1;

        z1 = biquad->b1 * in - biquad->a1 * out + z2;
        z2 = biquad->b2 * in - biquad->a2 * out;
        samples[i] = out;
    }
    biquad->z1 = fabs(z1) > NOTHING ? z1 : 0;
    biquad->z2 = fabs(z2) > NOTHING ? z2 : 0;
}

void
biquad_forget(struct biquad *biquad)
{
    biquad->z1 = biquad->z2 = 0;
}
