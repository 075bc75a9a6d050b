/* SPDX-License-Identifier: MIT */
/*
 * Datagrams that no careful reader may trust: noise, cut-off messages, lengths that lie. None of
 * them is a well-formed message at an address the desk publishes, so they never change a value.
 */
#ifndef MOCK_RUBBISH_H
#define MOCK_RUBBISH_H

#include <stddef.h>
#include <stdint.h>

#include "faults.h"

enum { RUBBISH_SIZE = 64 };

/* Makes one, of a kind drawn from `faults`; returns its size. */
size_t rubbish_make(struct faults *faults, const uint8_t *real, size_t real_size,
                    uint8_t out[RUBBISH_SIZE]);

#endif
