/* SPDX-License-Identifier: MIT */
/* Reference figures for bands and spectra.
 *
 * Third-octave bands: IEC 61260-1:2014, formulas 1, 2, 4 and 5 (G = 10^(3/10)), as transcribed in
 * python-acoustics (standards/iec_61260_1_2014.py); centres and edges computed from them, 4
 * decimals. Nominal frequencies: ISO 266:1997, as transcribed in an annex table of CROW kennisbank.
 * Speech: ANSI S3.5-1997 table 3, standard speech spectrum level, normal effort (four independent
 * copies agree); band level = spectrum level + 10 log10(bandwidth), computed, 3 decimals.
 */
#ifndef GAINWARDEN_REFERENCE_BANDS_H
#define GAINWARDEN_REFERENCE_BANDS_H

#include <math.h>

static const struct {
    double nominal_hz, exact_hz, lower_hz, upper_hz;
} reference_bands[] = {
    {20, 19.9526, 17.7828, 22.3872},
    {25, 25.1189, 22.3872, 28.1838},
    {31.5, 31.6228, 28.1838, 35.4813},
    {40, 39.8107, 35.4813, 44.6684},
    {50, 50.1187, 44.6684, 56.2341},
    {63, 63.0957, 56.2341, 70.7946},
    {80, 79.4328, 70.7946, 89.1251},
    {100, 100.0, 89.1251, 112.2018},
    {125, 125.8925, 112.2018, 141.2538},
    {160, 158.4893, 141.2538, 177.8279},
    {200, 199.5262, 177.8279, 223.8721},
    {250, 251.1886, 223.8721, 281.8383},
    {315, 316.2278, 281.8383, 354.8134},
    {400, 398.1072, 354.8134, 446.6836},
    {500, 501.1872, 446.6836, 562.3413},
    {630, 630.9573, 562.3413, 707.9458},
    {800, 794.3282, 707.9458, 891.2509},
    {1000, 1000.0, 891.2509, 1122.0185},
    {1250, 1258.9254, 1122.0185, 1412.5375},
    {1600, 1584.8932, 1412.5375, 1778.2794},
    {2000, 1995.2623, 1778.2794, 2238.7211},
    {2500, 2511.8864, 2238.7211, 2818.3829},
    {3150, 3162.2777, 2818.3829, 3548.1339},
    {4000, 3981.0717, 3548.1339, 4466.8359},
    {5000, 5011.8723, 4466.8359, 5623.4133},
    {6300, 6309.5734, 5623.4133, 7079.4578},
    {8000, 7943.2823, 7079.4578, 8912.5094},
    {10000, 10000.0, 8912.5094, 11220.1845},
    {12500, 12589.2541, 11220.1845, 14125.3754},
    {16000, 15848.9319, 14125.3754, 17782.7941},
    {20000, 19952.6231, 17782.7941, 22387.2114},
};

static const struct {
    double nominal_hz, exact_hz, lower_hz, upper_hz;
} reference_octaves[] = {
    {31.5, 31.6228, 22.3872, 44.6684},        {63, 63.0957, 44.6684, 89.1251},
    {125, 125.8925, 89.1251, 177.8279},       {250, 251.1886, 177.8279, 354.8134},
    {500, 501.1872, 354.8134, 707.9458},      {1000, 1000.0, 707.9458, 1412.5375},
    {2000, 1995.2623, 1412.5375, 2818.3829},  {4000, 3981.0717, 2818.3829, 5623.4133},
    {8000, 7943.2823, 5623.4133, 11220.1845}, {16000, 15848.9319, 11220.1845, 22387.2114},
};

static const struct {
    double nominal_hz;
    double spectrum_level_db;
    double band_level_db;
    double re_total_db;
} reference_speech[] = {
    {160, 32.41, 48.042, -14.296},  {200, 34.48, 51.112, -11.226},  {250, 34.75, 52.382, -9.956},
    {315, 33.98, 52.612, -9.726},   {400, 34.59, 54.222, -8.116},   {500, 34.27, 54.902, -7.436},
    {630, 32.06, 53.692, -8.646},   {800, 28.3, 50.932, -11.406},   {1000, 25.01, 48.642, -13.696},
    {1250, 23.0, 47.632, -14.706},  {1600, 20.15, 45.782, -16.556}, {2000, 17.32, 43.952, -18.386},
    {2500, 13.18, 40.812, -21.526}, {3150, 11.55, 40.182, -22.156}, {4000, 9.33, 38.962, -23.376},
    {5000, 5.31, 35.942, -26.396},  {6300, 2.59, 34.222, -28.116},  {8000, 1.13, 33.762, -28.576},
};

/* A-weighting of the 31 bands, dB: IEC 61672-1:2013 table 3, as two open copies print it.
 */
static const double reference_a_db[] = {
    -50.5, -44.7, -39.4, -34.6, -30.2, -26.2, -22.5, -19.1, -16.1, -13.4, -10.9,
    -8.6,  -6.6,  -4.8,  -3.2,  -1.9,  -0.8,  0.0,   0.6,   1.0,   1.2,   1.3,
    1.2,   1.0,   0.5,   -0.1,  -1.1,  -2.5,  -4.3,  -6.6,  -9.3,
};

/* A-weighted less unweighted level of the two programmes, computed from the tables; 3 decimals. */
static const double reference_pink_a_db = -2.978, reference_speech_a_db = 59.221 - 62.337;

/* Octave levels of speech from 125 Hz to 8 kHz, dB re its A-weighted level: IEC 60268-16 table A.4,
 * five copies agree. The sums are computed. A female voice has nothing at 125 Hz. */
enum { REFERENCE_OCTAVES_OF_SPEECH = 7 };
static const double reference_male_db[] = {2.9, 2.9, -0.8, -6.8, -12.8, -18.8, -24.8};
static const double reference_female_db[] = {-HUGE_VAL, 5.3, -1.9, -9.1, -15.8, -16.7, -18.0};
static const double reference_male_a_db = 0.054, reference_female_a_db = -0.116;

/* One of 31 bands of pink noise, -10 log10(31), computed, 4 decimals. */
static const double reference_pink_share_db = -14.9136;

#endif
