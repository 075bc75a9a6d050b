/* SPDX-License-Identifier: MIT */
/* The spectral radius of a matrix of numbers that are not negative, between two bounds.
 *
 * A matrix falls into strongly connected parts; its radius is that of the largest part. A part of
 * one row is its own diagonal. In any other the quotients (B x)_i / x_i of any positive x hold the
 * radius between their least and their most (L. Collatz 1942, H. Wielandt 1950; from memory), and
 * closer with every round of x <- (B + s I) x. The shift s keeps a part that only goes round in
 * circles from swinging for ever.
 */
#ifndef GAINWARDEN_RULES_RADIUS_H
#define GAINWARDEN_RULES_RADIUS_H

enum { RADIUS_SIZE = 64, RADIUS_ROUNDS = 500 };

/* Where a bound is close enough: most / least, 0.01 dB as amplitude. */
#define RADIUS_CLOSE 1.00115

struct radius {
    double least, most; /* the radius is between them; 0 and 0: no loop is closed */
};

/* rows[i * size + k]; size at most RADIUS_SIZE. Within RADIUS_CLOSE, or what RADIUS_ROUNDS brought. */
struct radius radius_of(const double *rows, int size);

#endif
