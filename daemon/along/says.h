/* SPDX-License-Identifier: MIT */
/* How a ring-out stands, in words and figures: for the screen, for lines and for JSON. What was seen
 * is said by ring/say.h.
 */
#ifndef GAINWARDEN_ALONG_SAYS_H
#define GAINWARDEN_ALONG_SAYS_H

#include "base/json.h"
#include "ring/say.h"

enum { SAYS_SIZE = 400 };

/* "3 rings, 3 cuts, speech 1.2 dB lower, 4.5 dB won since the first ring; 5.5 dB proved left" */
void says_mix(char says[SAYS_SIZE], const struct desk *desk, const struct ring_mix *mix);

/* "2.5 kHz: -6 dB, mix 1 Ld Vox wedge through input 18 Ld Vox" */
void says_ring(char says[SAYS_SIZE], const struct desk *desk, const struct ring_seen *seen);

/* What to do next, so short that it is read from two metres: "step back 6 dB". */
void says_next_large(char says[SAYS_SIZE], const struct ring_state *state);

/* "ring 2.5 kHz -3 dB", "left 5.5 dB", the same. */
void says_event_large(char says[SAYS_SIZE], const struct ring_event *event);
void says_mix_large(char says[SAYS_SIZE], const struct ring_mix *mix);

/* Somebody can be hurt until it is done. */
bool says_is_urgent(const struct ring_state *state);

/* The one at work, or that is next; NULL: it is all together, or no certain one. */
const struct ring_mix *says_shown(const struct ring_state *state);

/* What to do next, which `says` says. */
struct json *says_next_json(const struct ring_state *state, const char *says);

struct json *says_mix_json(const struct ring_mix *mix);

/* With its figures, as far as they are known. */
struct json *says_event_json(const struct desk *desk, const struct ring_event *event);

#endif
