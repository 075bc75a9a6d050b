/* SPDX-License-Identifier: MIT */
/*
 * What moves the desk: the same addresses in every dialect, so that a test can turn a control
 * without speaking it.
 *
 *   a field's address     its value, as its tag and law have it
 *   /set/eq, /set/mix-eq  both indices, then every field of the band
 *   /rig/FAULT            the test's own lever, no part of the desk
 */
#ifndef MOCK_MOVES_H
#define MOCK_MOVES_H

#include "addresses.h"

/* False when memory is out; addresses_release() undoes it. */
bool moves_init(struct addresses *moves, const struct state *state);

#endif
