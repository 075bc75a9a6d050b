/* SPDX-License-Identifier: MIT */
#include "spectrum/bands.h"

#include <math.h>

/* IEC 61260-1:2014, formula 2: thirds stand a tenth of a decade apart, and one at 1 kHz. */
enum { THIRDS_A_DECADE = 10, THIRD_OF_1_KHZ = 17 };

static double
third_hz(int third)
{
    return 1000 * pow(10, (double)(third - THIRD_OF_1_KHZ) / THIRDS_A_DECADE);
}

bool
spectrum_bands_of_thirds(int count, struct spectrum_bands *bands)
{
    if (count < SPECTRUM_THIRDS - 3 || count > SPECTRUM_THIRDS)
        return false;
    *bands = (struct spectrum_bands){count, third_hz(0), third_hz(count - 1)};
    return true;
}

static double
decades(const struct spectrum_bands *bands)
{
    return log10(bands->highest_hz / bands->lowest_hz) / (bands->count - 1);
}

double
spectrum_hz(const struct spectrum_bands *bands, double band)
{
    return bands->lowest_hz * pow(10, band * decades(bands));
}

double
spectrum_step_octaves(const struct spectrum_bands *bands)
{
    return decades(bands) / log10(2);
}

bool
spectrum_is_fine(const struct spectrum_bands *bands)
{
    return decades(bands) * THIRDS_A_DECADE < 1.01;
}

int
spectrum_third(const struct spectrum_bands *bands, int band)
{
    double third = round(THIRDS_A_DECADE * log10(spectrum_hz(bands, band) / third_hz(0)));

    return third >= 0 && third < SPECTRUM_THIRDS ? (int)third : -1;
}
