/* SPDX-License-Identifier: MIT */
#include "stage/beam.h"

#include <math.h>

#include "stage/angle.h"

const struct beam beam_usual = {
    4,
    {
        {125, 2, {0, 180}, {0, 0}},
        {500, 3, {0, 90, 180}, {0, -3, -6}},
        {2000, 4, {0, 45, 90, 180}, {0, -3, -10, -15}},
        {8000, 4, {0, 45, 90, 180}, {0, -6, -15, -20}},
    },
};

/* y at x of the line through points in order of x, held beyond its ends. */
static double
between(const double *xs, const double *ys, int count, double x)
{
    int at = 0;

    while (at < count && xs[at] < x)
        at++;
    if (at == 0 || at == count)
        return ys[at == 0 ? 0 : count - 1];
    return ys[at - 1] + (ys[at] - ys[at - 1]) * (x - xs[at - 1]) / (xs[at] - xs[at - 1]);
}

double
beam_db(const struct beam *beam, double degrees, double hz)
{
    double octaves[BEAM_ROWS], db[BEAM_ROWS];

    for (int row = 0; row < beam->count; row++) {
        const struct beam_row *one = &beam->rows[row];

        octaves[row] = log2(one->hz);
        db[row] = between(one->degrees, one->db, one->count, degrees);
    }
    return between(octaves, db, beam->count, log2(hz));
}

/* 1 / Q = half the integral of power(theta) sin(theta) over theta, in rings of 5 degrees. */
double
beam_q(const struct beam *beam, double hz)
{
    enum { RINGS = 36 };
    double mean = 0;

    for (int ring = 0; ring < RINGS; ring++) {
        double from = 180.0 * ring / RINGS, to = 180.0 * (ring + 1) / RINGS;
        double share = (cos(angle_radians(from)) - cos(angle_radians(to))) / 2;

        mean += share * pow(10, beam_db(beam, (from + to) / 2, hz) / 10);
    }
    return 1 / mean;
}
