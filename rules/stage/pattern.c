/* SPDX-License-Identifier: MIT */
#include "stage/pattern.h"

#include <math.h>

#include "stage/angle.h"

/* Allowances: fitted on half of many simulated stages (a microphone before a wedge, in boxes of many
 * sizes and in the open) by tests/stage/fit_patterns.py, which prints them; no other source. Published
 * beside them: a room's response peaks up to 10 dB above its mean (T. van Waterschoot and M. Moonen,
 * "Fifty Years of Acoustic Feedback Control", Proc. IEEE 99(2), 2011, section II). */
const struct pattern_row pattern_rows[PATTERNS] = {
    [PATTERN_OMNIDIRECTIONAL] = {"omnidirectional", 1, 4.8},
    [PATTERN_SUBCARDIOID] = {"subcardioid", 0.7, 5.8},
    [PATTERN_CARDIOID] = {"cardioid", 0.5, 5.5},
    [PATTERN_SUPERCARDIOID] = {"supercardioid", 0.37, 6.0},
    [PATTERN_HYPERCARDIOID] = {"hypercardioid", 0.25, 5.8},
    [PATTERN_FIGURE_OF_EIGHT] = {"figure-of-eight", 0, 4.9},
};

double
pattern_allowance_db(double allowance_db, double hz)
{
    return allowance_db - 2 * fmax(0, log2(500 / hz));
}

double
pattern_db(double a, double degrees, double floor_db)
{
    return fmax(20 * log10(fabs(a + (1 - a) * cos(angle_radians(degrees)))), floor_db);
}

double
pattern_random_energy(double a)
{
    return a * a + (1 - a) * (1 - a) / 3;
}

/* cos phi = -a / (1 - a). */
double
pattern_null_degrees(double a)
{
    return a >= 0.5 ? 180 : angle_degrees(acos(-a / (1 - a)));
}
