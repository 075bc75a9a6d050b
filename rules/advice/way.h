/* SPDX-License-Identifier: MIT */
/* What a move does to the paths its control lies in. */
#ifndef GAINWARDEN_RULES_WAY_H
#define GAINWARDEN_RULES_WAY_H

#include "advice/card.h"
#include "desk/desk.h"

/* Softer: no path is louder behind it, at any frequency and any level of the source. Louder: none is
 * softer. Either: a filter that moves sideways, another tap, a compressor in or out. */
enum way { WAY_SOFTER, WAY_EITHER, WAY_LOUDER };

/* Asks the desk for the shape of a band: a shelf has dips. */
enum way way_of(const struct desk *desk, const struct card_move *move);

/* Puts the moves in order, softer ones first and louder ones last, else as they stand. Whatever is
 * done of them then, no path is louder than before all of them or than behind all of them, as long
 * as at most one is either. */
void way_order(const struct desk *desk, struct card_move *moves, size_t count);

/* How many are either and lie in one and the same path; taps of several sends do not. */
size_t way_sideways(const struct desk *desk, const struct card_move *moves, size_t count);

#endif
