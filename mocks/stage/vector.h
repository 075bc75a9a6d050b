/* SPDX-License-Identifier: MIT */
/*
 * Points and directions, metres: x to the right as the audience sees the stage, y away from it, z
 * up.
 */
#ifndef MOCK_VECTOR_H
#define MOCK_VECTOR_H

struct vector {
    double x, y, z;
};

struct vector vector_add(struct vector a, struct vector b);
struct vector vector_minus(struct vector a, struct vector b);
struct vector vector_times(struct vector a, double factor);
double vector_length(struct vector a);

/* Of length 1. A vector of length 0 becomes straight up. */
struct vector vector_unit(struct vector a);

/* Cosine of the angle between two directions, -1 to 1. */
double vector_cosine(struct vector a, struct vector b);

#endif
