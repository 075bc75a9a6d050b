/* SPDX-License-Identifier: MIT */
/* How loud a source arrives at a mix's output: the model of a channel and a mix summed up anew, from
 * nothing but the values of the desk. It shares no code with rules/sound: filters are the digital
 * coefficients of R. Bristow-Johnson's Audio EQ Cookbook, evaluated on the unit circle.
 */
#ifndef GAINWARDEN_TESTS_LOUDNESS_H
#define GAINWARDEN_TESTS_LOUDNESS_H

#include "desk/desk.h"

enum { LOUDNESS_FREQUENCIES = 31, LOUDNESS_LEVELS = 4 };

/* Level in dB at the output of the mix for a source at each of LOUDNESS_LEVELS levels at the socket,
 * very soft to very loud, without filters: gates and compressors at work. -HUGE_VAL: closed. NAN: a
 * part is not known. */
void loudness_of(const struct desk *desk, int input, int mix, double level_db[LOUDNESS_LEVELS]);

/* Whether the input's own filters lie in that path. */
bool loudness_is_filtered(const struct desk *desk, int input, int mix);

/* Responses of the filters of an input, and of a mix, at the third-octave centres from 20 Hz on. */
void loudness_input_filters(const struct desk *desk, int input, double db[LOUDNESS_FREQUENCIES]);
void loudness_mix_filters(const struct desk *desk, int mix, double db[LOUDNESS_FREQUENCIES]);

/* The input on its way to the house: preamp to fader and groups, for a source so soft that nothing
 * compresses. */
double loudness_house_db(const struct desk *desk, int input);

#endif
