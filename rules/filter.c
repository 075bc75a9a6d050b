#include "filter.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

double
filter_high_pass_loss_db(int order, double corner_hz, double freq_hz)
{
    return 10 * log10(1 + pow(corner_hz / freq_hz, 2.0 * order));
}

int
filter_order(double db_per_octave)
{
    long order = lround(db_per_octave / 6.0206);

    return order < 1 ? 1 : (int)order;
}

double
filter_q_of_octaves(double octaves)
{
    return 1 / (2 * sinh(log(2) / 2 * octaves));
}

static struct biquad
scaled(double b0, double b1, double b2, double a0, double a1, double a2)
{
    return (struct biquad){b0 / a0, b1 / a0, b2 / a0, a1 / a0, a2 / a0};
}

/* Both shelves are one formula with the sign of the cosine turned. */
static struct biquad
shelf(double a, double c, double alpha, double sign)
{
    double root = 2 * sqrt(a) * alpha;
    double sc = sign * c;

    return scaled(a * ((a + 1) - (a - 1) * sc + root), sign * 2 * a * ((a - 1) - (a + 1) * sc),
                  a * ((a + 1) - (a - 1) * sc - root), (a + 1) + (a - 1) * sc + root,
                  sign * -2 * ((a - 1) + (a + 1) * sc), (a + 1) + (a - 1) * sc - root);
}

struct biquad
filter_biquad(enum shape shape, double freq_hz, double gain_db, double q, double rate_hz)
{
    double w0 = 2 * pi * fmin(freq_hz, 0.4999 * rate_hz) / rate_hz;
    double c = cos(w0);
    double alpha = sin(w0) / (2 * q);
    double a = pow(10, gain_db / 40);

    switch (shape) {
    case SHAPE_PEAK:
        return scaled(1 + alpha * a, -2 * c, 1 - alpha * a, 1 + alpha / a, -2 * c, 1 - alpha / a);
    case SHAPE_LOW_SHELF:
        return shelf(a, c, alpha, 1);
    case SHAPE_HIGH_SHELF:
        return shelf(a, c, alpha, -1);
    case SHAPE_LOW_PASS:
        return scaled((1 - c) / 2, 1 - c, (1 - c) / 2, 1 + alpha, -2 * c, 1 - alpha);
    case SHAPE_HIGH_PASS:
        return scaled((1 + c) / 2, -(1 + c), (1 + c) / 2, 1 + alpha, -2 * c, 1 - alpha);
    case SHAPE_NOTCH:
        break;
    }
    return scaled(1, -2 * c, 1, 1 + alpha, -2 * c, 1 - alpha);
}

/* |b0 + b1 z + b2 z^2|^2 on the unit circle, written with p = sin^2(w / 2) so that no difference of
 * nearly equal numbers appears at low frequencies. */
static double
power(double b0, double b1, double b2, double p)
{
    double sum = b0 + b1 + b2;

    return sum * sum - 4 * (b0 * b1 + 4 * b0 * b2 + b1 * b2) * p + 16 * b0 * b2 * p * p;
}

double
filter_biquad_db(const struct biquad *biquad, double freq_hz, double rate_hz)
{
    double half = sin(pi * freq_hz / rate_hz);
    double p = half * half;

    return 10 * log10(power(biquad->b0, biquad->b1, biquad->b2, p) /
                      power(1, biquad->a1, biquad->a2, p));
}
