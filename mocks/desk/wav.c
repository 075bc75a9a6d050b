/* SPDX-License-Identifier: MIT */
#include "wav.h"

#include <math.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>

enum { AT_ONCE = 48 };

static const double FULL_PA = 141.4213562373095; /* peak of a sine at 94 + 40 dB SPL */
static const double MOST = 0.1;                  /* -20 dBFS */

struct wav {
    SNDFILE *file;
};

struct wav *
wav_open(const char *file)
{
    SF_INFO info = {.samplerate = 48000, .channels = 2, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_16};
    struct wav *wav = calloc(1, sizeof *wav);

    if (wav)
        wav->file = sf_open(file, SFM_WRITE, &info);
    if (wav && wav->file) {
        /* Whoever listens while it grows finds a file that is whole. */
        sf_command(wav->file, SFC_SET_UPDATE_HEADER_AUTO, NULL, SF_TRUE);
        return wav;
    }
    fprintf(stderr, "mock-desk: %s: hear: %s\n", file, wav ? sf_strerror(NULL) : "out of memory");
    free(wav);
    return NULL;
}

static double
harmless(double pa)
{
    return MOST * tanh(pa / FULL_PA / MOST);
}

void
wav_add(struct wav *wav, const double *left, const double *right, size_t count)
{
    double both[2 * AT_ONCE];

    for (size_t i = 0; i < count; i++) {
        both[2 * i] = harmless(left[i]);
        both[2 * i + 1] = harmless(right[i]);
    }
    sf_writef_double(wav->file, both, (sf_count_t)count);
}

void
wav_close(struct wav *wav)
{
    if (wav)
        sf_close(wav->file);
    free(wav);
}
