/* SPDX-License-Identifier: MIT */
/* What the parts of a path make together, at one frequency. The program itself never asks for one
 * frequency alone: it sums over bands, or looks for the worst.
 */
#ifndef GAINWARDEN_TESTS_PATH_GAIN_H
#define GAINWARDEN_TESTS_PATH_GAIN_H

#include "look/look.h"

/* False when a part of it is not known; -HUGE_VAL when the path is off. */
bool path_gain_db(struct look *look, int input, int mix, double freq_hz, double *gain_db);

#endif
