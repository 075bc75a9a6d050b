/* SPDX-License-Identifier: MIT */
#include "sound/band.h"

#include <math.h>

/* ISO 266:1997 preferred frequencies. */
static const double nominal[BANDS] = {
    20,   25,   31.5, 40,   50,   63,    80,    100,   125,   160,  200,
    250,  315,  400,  500,  630,  800,   1000,  1250,  1600,  2000, 2500,
    3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000,
};

/* ANSI S3.5-1997 table 3, standard speech spectrum level for normal vocal effort (read in copies),
 * dB, bands 160 Hz to 8 kHz. Level per hertz: the band level adds 10 log10 of the bandwidth. */
static const double speech_level_db[] = {
    32.41, 34.48, 34.75, 33.98, 34.59, 34.27, 32.06, 28.3, 25.01,
    23.0,  20.15, 17.32, 13.18, 11.55, 9.33,  5.31,  2.59, 1.13,
};

enum {
    SPEECH_FIRST = 9, /* the 160 Hz band */
    SPEECH_BANDS = (int)(sizeof speech_level_db / sizeof *speech_level_db),
    OCTAVES = 10
};

double
band_exact_hz(double band)
{
    return 1000 * pow(10, (band - 17) / 10);
}

void
band_speech_shares(double shares[BANDS])
{
    double total = 0;

    for (int band = 0; band < BANDS; band++) {
        int row = band - SPEECH_FIRST;

        /* The width of a band is a fixed part of its centre; that factor drops out of the shares.
         */
        shares[band] = row < 0 || row >= SPEECH_BANDS
                           ? 0
                           : pow(10, speech_level_db[row] / 10) * band_exact_hz(band);
        total += shares[band];
    }
    for (int band = 0; band < BANDS; band++)
        shares[band] /= total;
}

void
band_pink_shares(double shares[BANDS])
{
    for (int band = 0; band < BANDS; band++)
        shares[band] = 1.0 / BANDS;
}

/* The third-octave band that stands for a band of the equaliser, or -1. */
static int
graphic_band(int bands, int band)
{
    if (bands == BANDS)
        return band;
    return bands == OCTAVES ? 2 + 3 * band : -1; /* every third one from 31.5 Hz */
}

double
band_graphic_hz(int bands, int band)
{
    int third = graphic_band(bands, band);

    return third >= 0 ? band_exact_hz(third) : 0;
}

double
band_graphic_nominal_hz(int bands, int band)
{
    int third = graphic_band(bands, band);

    return third >= 0 ? nominal[third] : 0;
}

double
band_graphic_octaves(int bands)
{
    if (bands == BANDS)
        return 1.0 / 3;
    return bands == OCTAVES ? 1 : 0;
}
