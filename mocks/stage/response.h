/* SPDX-License-Identifier: MIT */
/* Impulse responses of the two halves of the loop, without clipper and noise. */
#ifndef MOCK_RESPONSE_H
#define MOCK_RESPONSE_H

#include "loop.h"

/*
 * From a mix's output to an input's socket, the air alone. False when memory is out, or there is no
 * such mix or input.
 */
bool response_acoustic(const struct loop *stands, size_t mix, size_t input, double *out,
                       size_t count);

/* From an input's socket to a mix's output as the desk stands, its latency included. */
bool response_electric(const struct loop *stands, size_t input, size_t mix, double *out,
                       size_t count);

#endif
