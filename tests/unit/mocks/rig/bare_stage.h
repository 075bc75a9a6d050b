/* SPDX-License-Identifier: MIT */
/*
 * Stages from a text, and the barest of all: one omnidirectional microphone and one loudspeaker
 * that is flat everywhere, in free field without noise, behind a desk without filters. Its loop is
 * a factor and a delay, so theory says all about it.
 */
#ifndef BARE_STAGE_H
#define BARE_STAGE_H

#include "stage.h"

/* Through a file; fails the test when it is turned down. `desk` is a state file's text, or NULL. */
struct stage *stage_before(const char *desk, const char *text);
struct stage *stage_of(const char *text);

/* The loop's delay in ms, of which all but 5 ms is the desk's; at least 6. Its onset lies at `raise_db`. */
struct stage *bare_stage(double delay_ms, double *raise_db);

/* Level in dB of a signal at a frequency, by Goertzel's sum over the whole of it. */
double level_at_hz(const double *samples, int count, double hz);

/* Level in dB that an impulse response passes. */
double response_db(const double *response, int count, double hz);

#endif
