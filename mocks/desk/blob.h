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
void Blob_write(const struct State *state, const struct Item *items, size_t count,
                enum BlobForm form, size_t skip, struct Draft *draft);

#endif
