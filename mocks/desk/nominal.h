/* SPDX-License-Identifier: MIT */
/* The centre frequencies printed beside a graphic's bands. */
#ifndef MOCK_NOMINAL_H
#define MOCK_NOMINAL_H

/* The 0-based band of a graphic with `bands` bands (31, 15 or 10) at "250" or "31.5"; else -1. */
int nominal_band(unsigned bands, const char *frequency);

#endif
