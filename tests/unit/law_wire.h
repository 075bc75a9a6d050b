/* SPDX-License-Identifier: MIT */
/* The way back through a law, which the program never goes: it sends no values. Tests go it, so
 * that what a law makes of a number is compared with a sum that was written down apart.
 */
#ifndef GAINWARDEN_TESTS_LAW_WIRE_H
#define GAINWARDEN_TESTS_LAW_WIRE_H

#include "profile/law.h"

/* The wire number that law_value() turns into `value`, for laws other than tables of texts. */
bool law_wire(const struct law *law, double value, double *wire);

#endif
