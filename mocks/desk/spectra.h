/* SPDX-License-Identifier: MIT */
/*
 * Spectra of inputs and mixes, where a stage is behind the desk: 31 thirds at /in/N/spectrum and
 * /mix/M/spectrum, a hundred bands at .../fine-spectrum, as blobs of int16, high byte first, 250 to
 * a dB. They are asked for as any value of the dialect, and pushed, frame by frame, to who sends
 * /stay/spectra.
 */
#ifndef MOCK_SPECTRA_H
#define MOCK_SPECTRA_H

#include "dialects.h"
#include "stage.h"
#include "wire.h"

enum { SPECTRA_ROWS = 4 };

/* Of which signal: a row of the table, and a number from 1. */
struct spectra_of {
    unsigned row;
    int number;
};

/* True when an address, in the dialect's spelling, and its arguments ask for a spectrum. */
bool spectra_asked(const struct dialect *dialect, const char *address,
                   const struct message *message, struct spectra_of *of);

/* Drafts its message; the draft keeps pointing at `address`. False when no sound goes there. */
bool spectra_write(const struct dialect *dialect, const struct stage *stage,
                   const struct spectra_of *of, char address[ADDRESS_SIZE], struct draft *draft);

#endif
