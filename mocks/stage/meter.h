/* SPDX-License-Identifier: MIT */
/*
 * What a desk shows of a signal: a peak meter that falls 20 dB in 1.7 s (as IEC 60268-18 has it;
 * from memory), and spectra whose bands are averaged over 125 ms ("F" of IEC 61672-1).
 */
#ifndef MOCK_METER_H
#define MOCK_METER_H

#include "history.h"
#include "spectrum.h"

#define METER_FRAME_S 0.05 /* between spectra */
enum { METER_LOWEST_DB = -120 };

struct meter {
    double peak; /* factor */
    double thirds[SPECTRUM_THIRDS];
    double fine[SPECTRUM_FINE]; /* mean squares */
    struct history history;
};

/* False when memory is out. */
bool meter_init(struct meter *meter);
void meter_release(struct meter *meter);
void meter_forget(struct meter *meter);

void meter_add(struct meter *meter, const double block[BLOCK]);

/* A new spectrum of the last samples, a frame after the one before. */
void meter_frame(struct meter *meter);

double meter_db(const struct meter *meter);

/* Both kinds of bands, in dB. False for another number of bands. */
bool meter_bands(const struct meter *meter, size_t bands, double *out);

#endif
