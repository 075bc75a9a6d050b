/* SPDX-License-Identifier: MIT */
#include "sound/filter.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

double
filter_high_pass_loss_db(int order, double corner_hz, double freq_hz)
{
    return 10 * log10(1 + pow(corner_hz / freq_hz, 2.0 * order));
}

double
filter_high_pass_power(int order, double ratio)
{
    return 1 / (1 + pow(ratio, 2.0 * order));
}

double
filter_high_pass_db(int order, double corner_hz, double freq_hz, double rate_hz)
{
    double ratio = filter_warp(corner_hz, rate_hz) / filter_warp(freq_hz, rate_hz);

    return 10 * log10(filter_high_pass_power(order, ratio));
}

int
filter_order(double db_per_octave)
{
    long order = lround(db_per_octave / 6.0206);

    return order < 1 ? 1 : (int)order;
}

/* Before the bilinear transform bends it. Held above 0, where a filter is a mere gain: beside the
 * Nyquist frequency the transform makes any width endless. */
static double
q_of_octaves(double octaves)
{
    return fmax(1e-6, 1 / (2 * sinh(log(2) / 2 * octaves)));
}

double
filter_q_of_octaves_at(double octaves, double centre_hz, double rate_hz)
{
    double w0 = 2 * pi * fmin(centre_hz, 0.4999 * rate_hz) / rate_hz;

    return q_of_octaves(octaves * w0 / sin(w0));
}

double
filter_octaves_of_q(double q)
{
    return 2 / log(2) * asinh(1 / (2 * q));
}

double
filter_warp(double freq_hz, double rate_hz)
{
    return tan(pi * fmin(freq_hz, 0.4999 * rate_hz) / rate_hz);
}

double
filter_unwarp(double warped, double rate_hz)
{
    return atan(warped) * rate_hz / pi;
}

struct biquad
filter_biquad(enum shape shape, double freq_hz, double gain_db, double q, double rate_hz)
{
    double a = pow(10, gain_db / 40);
    double root = sqrt(a) / q;
    double warp = filter_warp(freq_hz, rate_hz);

    switch (shape) {
    case SHAPE_PEAK:
        return (struct biquad){1, a / q, 1, 1, 1 / (a * q), 1, warp};
    case SHAPE_LOW_SHELF:
        return (struct biquad){a * a, a * root, a, 1, root, a, warp};
    case SHAPE_HIGH_SHELF:
        return (struct biquad){a, a * root, a * a, a, root, 1, warp};
    case SHAPE_LOW_PASS:
        return (struct biquad){1, 0, 0, 1, 1 / q, 1, warp};
    case SHAPE_HIGH_PASS:
        return (struct biquad){0, 0, 1, 1, 1 / q, 1, warp};
    case SHAPE_NOTCH:
        break;
    }
    return (struct biquad){1, 0, 1, 1, 1 / q, 1, warp};
}

/* |c0 + c1 s + c2 s^2|^2 on the imaginary axis. */
static double
power(double c0, double c1, double c2, double omega)
{
    double real = c0 - c2 * omega * omega;
    double imaginary = c1 * omega;

    return real * real + imaginary * imaginary;
}

bool
filter_same(const struct biquad *one, const struct biquad *other)
{
    return one->n0 == other->n0 && one->n1 == other->n1 && one->n2 == other->n2 &&
           one->d0 == other->d0 && one->d1 == other->d1 && one->d2 == other->d2 &&
           one->warp == other->warp;
}

double
filter_biquad_power(const struct biquad *biquad, double warped)
{
    double omega = warped / biquad->warp;

    return power(biquad->n0, biquad->n1, biquad->n2, omega) /
           power(biquad->d0, biquad->d1, biquad->d2, omega);
}

double
filter_biquad_at(const struct biquad *biquad, double warped)
{
    return 10 * log10(filter_biquad_power(biquad, warped));
}

/* |c0 + c1 s + c2 s^2|^2 on the imaginary axis is a x^2 + b x + c with x = omega^2. */
struct in_x {
    double a, b, c;
};

static struct in_x
in_x(double c0, double c1, double c2)
{
    return (struct in_x){c2 * c2, c1 * c1 - 2 * c0 * c2, c0 * c0};
}

static double
at_x(struct in_x over, struct in_x under, double x)
{
    if (!(x >= 0 && isfinite(x)))
        return 0;
    return ((over.a * x + over.b) * x + over.c) / ((under.a * x + under.b) * x + under.c);
}

/* At an end of the axis, or where the derivative of their quotient is 0: p x^2 + 2 q x + r = 0. */
double
filter_peak_power(const struct biquad *biquad)
{
    struct in_x over = in_x(biquad->n0, biquad->n1, biquad->n2);
    struct in_x under = in_x(biquad->d0, biquad->d1, biquad->d2);
    double p = over.a * under.b - over.b * under.a, q = over.a * under.c - over.c * under.a;
    double r = over.b * under.c - over.c * under.b;
    double turn = -(q + copysign(sqrt(fmax(0, q * q - p * r)), q)); /* nothing cancels in it */
    double most = fmax(over.a / under.a, over.c / under.c);

    most = fmax(most, at_x(over, under, turn / p));
    return fmax(most, at_x(over, under, r / turn));
}
