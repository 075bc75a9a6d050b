/* SPDX-License-Identifier: MIT */
/*
 * Values as numbers in one blob. Sixteen bits count 250 to a dB, thirty-two 5000 to a dB, and
 * -99 dB stands for off; a float is what travels elsewhere too, the position of the control.
 */
#ifndef MOCK_BLOB_H
#define MOCK_BLOB_H

#include "item.h"
#include "phrase.h"
#include "wire.h"

/* Appends the blob; `skip` bytes of it come first: how many numbers there are, then zeros. */
void blob_write(const struct state *state, const struct item *items, size_t count,
                enum blob_form form, size_t skip, struct draft *draft);

#endif
