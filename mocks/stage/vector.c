/* SPDX-License-Identifier: MIT */
#include "vector.h"

#include <math.h>

struct vector
vector_add(struct vector a, struct vector b)
{
    return (struct vector){a.x + b.x, a.y + b.y, a.z + b.z};
}

struct vector
vector_minus(struct vector a, struct vector b)
{
    return (struct vector){a.x - b.x, a.y - b.y, a.z - b.z};
}

struct vector
vector_times(struct vector a, double factor)
{
    return (struct vector){a.x * factor, a.y * factor, a.z * factor};
}

double
vector_length(struct vector a)
{
    return sqrt(a.x * a.x + a.y * a.y + a.z * a.z);
}

struct vector
vector_unit(struct vector a)
{
    double length = vector_length(a);

    return length > 0 ? vector_times(a, 1 / length) : (struct vector){0, 0, 1};
}

double
vector_cosine(struct vector a, struct vector b)
{
    struct vector u = vector_unit(a), v = vector_unit(b);

    return fmax(-1, fmin(1, u.x * v.x + u.y * v.y + u.z * v.z));
}
