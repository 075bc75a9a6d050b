/* SPDX-License-Identifier: MIT */
/* The hold of a ring-out that is followed, so that a recording knows of it:
 *
 *   {"do": "hold", "mix": 1}    all mixes where none is named
 *   {"do": "hold-end"}
 *
 * Nobody can ask this over the control socket: whoever follows is connected, and it ends with him.
 */
#ifndef GAINWARDEN_WATCH_RING_HOLD_H
#define GAINWARDEN_WATCH_RING_HOLD_H

#include <stdbool.h>

struct json;
struct watch_desk;

/* Somebody follows the ring-out of that mix; -1: of all. */
void ring_hold_begin(struct watch_desk *desk, int mix);

/* Nobody does any more: what was held back is told. */
void ring_hold_end(struct watch_desk *desk);

/* One of these out of a recording; false: it is none. */
bool ring_hold_again(struct watch_desk *desk, const struct json *request);

#endif
