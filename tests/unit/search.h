/* SPDX-License-Identifier: MIT */
/* The most that re-trims and masters can give back on a desk, found by trying. It shares no code with
 * rules/advice.
 *
 * What is given back, in dB: what each preamp came down by, and what each master came nearer to
 * 0 dB. Unity is the aim of both. A preamp that comes down by more than its loudest use throws away
 * again, or by more than sends at 0 dB make up for, gives nothing back: it moves the gain to where
 * the next hand meets it. Nor does a preamp that comes up to make room for a master.
 *
 * A card is worth 3 dB or more and is one of
 *   a re-trim   a preamp down, its thresholds with it, its sends up, on a house desk its fader in
 *               place of the sends behind it; where as much is unused as the show calls a finding
 *   a master    to 0 dB or towards it, all open sends into the mix the other way
 *
 * Where cards end does not depend on their order, but for rounding, and with the masters in place
 * the preamps are independent of each other. So the search goes through all places of the masters,
 * by steps of SEARCH_GRID_DB, with each choice of the preamps that can come down then, most given
 * back first, and takes the first that can be done: in some order of its cards rules 2 to 7 hold
 * behind every single move, and at the end no check finds what it did not. A check that fails but is
 * folded under another's finding finds nothing here, though the planner takes it for new.
 *
 * It begins on the desk as it stands, and once more with make-up gain and open unused inputs that are
 * found taken out, with sends that follow faders taken from before them, and with both: all of this
 * makes room in the preamps.
 */
#ifndef GAINWARDEN_TESTS_SEARCH_H
#define GAINWARDEN_TESTS_SEARCH_H

#include "scene.h"

#define SEARCH_LEAST_DB 3.0
#define SEARCH_GRID_DB 1.0

/* What was given back between two states of a desk. */
double search_given_db(const struct desk *before, const struct desk *after);

/* The most that can be from this desk of the scene on. `turned_down` counts the choices that would
 * have given more and cannot be done. */
double search_most_db(const struct scene *scene, const struct desk *desk, size_t *turned_down);

#endif
