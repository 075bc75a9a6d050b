/* SPDX-License-Identifier: MIT */
/* What grows like a ring in the spectra of one mix: "one band has climbed at least 8 dB in a straight
 * line over 0.6 to 3 s (or 12 dB in 0.3 s at 20 frames a second) and is at its highest now; it stands
 * clear of its neighbours and harmonics, and is louder there than anything in the last 20 s".
 *
 * A loop that rings grows exponentially, which is a straight line in dB; few things in music do, but
 * some do: a tone that swells, a siren, a string driven into another mode. So this is a suspicion and
 * no proof. It cannot see a loop below onset, nor one that grows slower than 2.7 dB/s or is masked in
 * its band.
 *
 * Frames are counted, for their times on arrival jitter: a straight line is one only on a steady
 * clock. One that is missing is taken as halfway to the next; after more than a few all begins anew.
 *
 * Memory is that of 20 s of thirds, whatever comes.
 */
#ifndef GAINWARDEN_RULES_RISE_H
#define GAINWARDEN_RULES_RISE_H

#include <stdbool.h>
#include <stdint.h>

#include "spectrum/bands.h"

/* The constants and their merits: a study on hours of music, speech and simulated loops; see
 * tests/reference/ringing/README.md. */
#define RISE_RATE_LEAST 5.0
#define RISE_RATE_MOST 50.0

/* By so much louder than anything from 20 s to 2 s ago: what is newer is the rise itself. */
#define RISE_OVER_LATELY_DB 6.0
#define RISE_LATELY_S 2.0
#define RISE_KEPT_S 20.0

struct risen {
    int third;
    double hz;             /* by a parabola in dB through the finest bands */
    double within_octaves; /* give or take */
    double db_s;           /* how fast it grew */
    double s;              /* for so long, */
    double over_db;        /* and by so much more than a ring must */
    double level_db;       /* of the third now, dB full scale */
};

struct rise;

/* `bands` are fine enough (bands.h), at RISE_RATE_LEAST to RISE_RATE_MOST frames a second. */
struct rise *rise_new(const struct spectrum_bands *bands, double per_second);
void rise_free(struct rise *rise);

/* Takes a frame of bands->count levels, dB full scale, -HUGE_VAL for nothing; true when a band rises
 * like a ring with it, the loudest where several do. */
bool rise_take(struct rise *rise, const double *levels, int64_t now_ms, struct risen *risen);

/* The same of the frame that was taken last, by a looser setting: for a ring-out, where rings are
 * expected and nobody plays. One is seen from -80 dB full scale on, for whoever listens to it grow
 * cuts it before a show's -50. */
bool rise_looser(const struct rise *rise, struct risen *risen);

/* The highest level of a third in the frames of `from_s` ago and before, to `to_s` ago, dB full scale;
 * so low that nothing is, where there is none. */
double rise_highest(const struct rise *rise, int third, double from_s, double to_s);

/* The level of a third in the last frame, dB full scale. */
double rise_level(const struct rise *rise, int third);

#endif
