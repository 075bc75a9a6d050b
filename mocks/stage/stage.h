/* SPDX-License-Identifier: MIT */
/*
 * The acoustics behind the mock desk: a scene, the desk as it is set, and the loop between them,
 * run in time. No sockets and no clock here: who uses it says how far time goes on. mock-desk runs
 * it by the clock on the wall, tests as fast as it can, by libmock-stage.so.
 *
 * Numbers of inputs, mixes, bands, sockets and microphones count from 1. `kind` is STAGE_INPUT or
 * STAGE_MIX.
 */
#ifndef MOCK_STAGE_H
#define MOCK_STAGE_H

#include <stdbool.h>

struct stage;
struct state;

enum { STAGE_INPUT, STAGE_MIX };

/* ---- making one ---- */

/*
 * `desk` is a state file of mock-desk, or NULL for one as large as the scene: own sends (input i
 * into mix (i - 1) mod mixes + 1) and masters at 0 dB, other sends at -12, all pre-fader, preamps
 * at 10 dB, high-passes at 100 Hz with 18 dB. `stage` is a stage file or "random:SEED:4x4". NULL
 * after printing what is wrong.
 */
struct stage *stage_open(const char *desk, const char *stage);

/* The same behind a desk of the caller's, which must outlive it. */
struct stage *stage_behind(const struct state *desk, const char *stage);
void stage_close(struct stage *stage);

/* Writes a stage file that reads back the same. False after printing why. */
bool stage_save(const struct stage *stage, const char *file);

/* ---- the desk ---- */

int stage_inputs(const struct stage *stage);
int stage_mixes(const struct stage *stage);

/*
 * By the keys of the state file: scope "input" with key "high_pass.freq"; "input-band" "mix-band"
 * "input-group" "send" "graphic" have two numbers, the other scopes have `second` 0. Words go by
 * their place. False, and nothing is changed, where there is no such thing or it is out of range.
 */
bool stage_set(struct stage *stage, const char *scope, const char *key, int first, int second,
               double value);
double stage_get(const struct stage *stage, const char *scope, const char *key, int first,
                 int second); /* NAN: no such thing */

/* The caller's desk has been moved. */
void stage_desk_moved(struct stage *stage);

/* True when a microphone feeds the input, or the mix feeds a loudspeaker. */
bool stage_has(const struct stage *stage, int kind, int number);

/* ---- time ---- */

double stage_run(struct stage *stage, double seconds); /* in whole ms; returns the stage's time */
double stage_time(const struct stage *stage);

/* Empties delays, filters, meters and what the ear heard; gains on their way are there. */
void stage_rest(struct stage *stage);

void stage_noise(struct stage *stage, double spl);
bool stage_talk(struct stage *stage, int microphone, double spl); /* at 1 m; -INFINITY: silent */

/* Whether spectra and rings are worked out; they are unless told otherwise. */
void stage_spectra(struct stage *stage, bool on);

/* Adds to the socket's signal (full scale 1 with the preamp at 0 dB) from now on. */
bool stage_play(struct stage *stage, int socket, const double *samples, int count);

/* ---- what a desk publishes ---- */

double stage_meter(const struct stage *stage, int kind, int number); /* dBFS, -120 to 0 */

/* 31 or 100 bands, rms dBFS, where a sine at full scale is -3. */
bool stage_spectrum(const struct stage *stage, int kind, int number, int bands, double *out);

/* How many frames of spectra there have been. */
unsigned long stage_frames(const struct stage *stage);

/* ---- what only the simulation knows ---- */

struct stage_ring {
    int mix;   /* where it stands highest over the noise */
    int holds; /* 1: a converter clips */
    double hz;
    double growth; /* dB per second, as it last grew without a clipper in its way */
    double level;  /* dBFS rms before the converter */
    double began;  /* stage time of the move that made it, reckoned back along its growth */
    double heard;  /* stage time at which the ear was sure */
};

int stage_rings(const struct stage *stage, struct stage_ring *out, int most);

/* How many rings were ever heard, and the last of them. */
unsigned long stage_rings_heard(const struct stage *stage, struct stage_ring *last);

double stage_onset(const struct stage *stage, double *hz);                   /* onset_find() */
double stage_growth(const struct stage *stage, double raise_db, double *hz); /* onset_growth() */
bool stage_acoustic(const struct stage *stage, int mix, int input, double *out, int count);
bool stage_electric(const struct stage *stage, int input, int mix, double *out, int count);

/*
 * The last `count` samples, at most 65536: of the socket that feeds an input, or of a mix's output.
 */
bool stage_record(const struct stage *stage, int kind, int number, double *out, int count);

/*
 * What stands at a pair of ears in the last ms, in Pa: 48 samples left and right. False: no such
 * pair.
 */
bool stage_ears(const struct stage *stage, int pair, double left[], double right[]);

#endif
