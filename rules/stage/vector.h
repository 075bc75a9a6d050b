/* SPDX-License-Identifier: MIT */
/* Places and directions in space, as sums of their parts. */
#ifndef GAINWARDEN_RULES_VECTOR_H
#define GAINWARDEN_RULES_VECTOR_H

#include <math.h>

#include "stage/angle.h"
#include "stage/stage.h"

static inline struct place
vector_from(struct place from, struct place to)
{
    return (struct place){to.x_m - from.x_m, to.y_m - from.y_m, to.z_m - from.z_m};
}

static inline double
vector_product(struct place one, struct place other)
{
    return one.x_m * other.x_m + one.y_m * other.y_m + one.z_m * other.z_m;
}

static inline double
vector_length(struct place vector)
{
    return sqrt(vector_product(vector, vector));
}

/* one * a + other * b */
static inline struct place
vector_mix(struct place one, double a, struct place other, double b)
{
    return (struct place){one.x_m * a + other.x_m * b, one.y_m * a + other.y_m * b,
                          one.z_m * a + other.z_m * b};
}

/* Of length 1. */
static inline struct place
vector_unit(struct place vector)
{
    return vector_mix(vector, 1 / vector_length(vector), vector, 0);
}

/* Between the two, which may have any length above 0. */
static inline double
vector_degrees(struct place one, struct place other)
{
    double cosine = vector_product(one, other) / (vector_length(one) * vector_length(other));

    return angle_degrees(acos(fmax(-1, fmin(1, cosine))));
}

#endif
