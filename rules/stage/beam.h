/* SPDX-License-Identifier: MIT */
/* How a loudspeaker radiates off its axis: a few rows of angles and dB, each for one frequency.
 * Between two angles, and between two rows over the logarithm of frequency, in proportion; beyond
 * the last of either as there.
 */
#ifndef GAINWARDEN_RULES_BEAM_H
#define GAINWARDEN_RULES_BEAM_H

enum { BEAM_ROWS = 10, BEAM_ANGLES = 13 };

struct beam_row {
    double hz;
    int count;                   /* 1 or more */
    double degrees[BEAM_ANGLES]; /* rising, from 0 */
    double db[BEAM_ANGLES];      /* against the axis */
};

struct beam {
    int count; /* 1 or more; rising in frequency */
    struct beam_row rows[BEAM_ROWS];
};

/* A loudspeaker of which the plan tells no more; common practice, no source. */
extern const struct beam beam_usual;

double beam_db(const struct beam *beam, double degrees, double hz);

/* Q: the power on the axis against the mean of all directions, which are alike around the axis. */
double beam_q(const struct beam *beam, double hz);

#endif
