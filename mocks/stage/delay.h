/* SPDX-License-Identifier: MIT */
/*
 * A delay line in blocks of BLOCK samples. Everything is written twice, one length apart, so that
 * any BLOCK samples of the past lie in a row.
 */
#ifndef MOCK_DELAY_H
#define MOCK_DELAY_H

#include <stdbool.h>
#include <stddef.h>

enum { BLOCK = 48 }; /* 1 ms */

struct delay {
    double *samples; /* twice the length */
    size_t length;   /* a multiple of BLOCK */
    size_t at;       /* where the block of now goes */
};

/* For delays of up to `longest` samples. False when memory is out. */
bool delay_init(struct delay *delay, size_t longest);
void delay_release(struct delay *delay);

/* The block of now; delay_next() goes on to the next one. */
void delay_write(struct delay *delay, const double block[BLOCK]);
void delay_next(struct delay *delay);

/*
 * The samples heard now that were written `samples` ago: from BLOCK on at any time, below it once
 * the block of now is written.
 */
const double *delay_read(const struct delay *delay, size_t samples);

void delay_scale(struct delay *delay, double factor);

#endif
