/* SPDX-License-Identifier: MIT */
/* Third-octave bands and the programme spectra that weigh them. */
#ifndef GAINWARDEN_RULES_BAND_H
#define GAINWARDEN_RULES_BAND_H

/* The 31 third-octave bands a graphic equaliser has, 20 Hz to 20 kHz. */
enum { BANDS = 31 };

/* Exact mid-band frequency, IEC 61260-1:2014 formula 2: 1000 * 10^(n / 10), n = band - 17; between
 * two bands in proportion, so that their common edge lies half a band from each. */
double band_exact_hz(double band);

/* Shares of a programme's power in the bands, each set summing to 1.
 * Speech: ANSI S3.5-1997 table 3, normal effort, 160 Hz to 8 kHz (0 elsewhere).
 * Pink noise: equal power in each of the bands. */
void band_speech_shares(double shares[BANDS]);
void band_pink_shares(double shares[BANDS]);

/* Exact centre of a graphic equaliser's band: 31 third-octave bands from 20 Hz or 10 octave bands
 * from 31.5 Hz. 0 when an equaliser of so many bands has no standard centres. */
double band_graphic_hz(int bands, int band);

/* The frequency printed beside that band, for people: 160 where the exact centre is 158.5. */
double band_graphic_nominal_hz(int bands, int band);

/* Its width in octaves: 1/3 or 1; 0 as above. */
double band_graphic_octaves(int bands);

#endif
