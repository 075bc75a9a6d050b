/* SPDX-License-Identifier: MIT */
/*
 * What stands at a pair of ears as a sound file, at a level that does no harm: 1 Pa (94 dB SPL)
 * becomes -40 dBFS, and whatever is louder is bent so that it never passes -20 dBFS. The only file
 * that knows libsndfile.
 */
#ifndef MOCK_WAV_H
#define MOCK_WAV_H

#include <stddef.h>

struct wav;

/* NULL after printing why. */
struct wav *wav_open(const char *file);

/* At most 48 samples of each ear, in Pa. */
void wav_add(struct wav *wav, const double *left, const double *right, size_t count);
void wav_close(struct wav *wav);

#endif
