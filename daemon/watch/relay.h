/* SPDX-License-Identifier: MIT */
/* The desk itself for a ring-out that is followed elsewhere (link/relayed.c), over the control
 * socket: it stands behind its request and gets the desk as it is, then what moved since, at most
 * once a wake-up and when it has taken the line before; and a line a second anyway. One ring-out of
 * a desk at a time.
 *
 *   {"do": "ring-out", "mix": 1}
 *   {"ok": true, "ring_out": {"values": [["send.level", 18, 1, -5.5, 40], ...],
 *                             "stale": [["mix.fader", 2, 1], ...], "link": "steady",
 *                             "rings": [[1, 13, 316.2, -42.5, 40, 90], ...]}}
 *
 * A value is parameter, row and column from 1, number or text, and how many ms ago it was heard.
 * "link" stands in a line only once all that moved is told, so that no half of it is taken for the
 * desk. A ring (spectrum/heard.h) is mix and third from 1, Hz, dB full scale, and how many ms ago it
 * stood: the watch hears the desk's spectra and looks for rings, and sends what it found of the
 * mixes that are rung out, at most RELAY_RINGS_A_S times a second. The frames themselves would be a
 * hundred times as much, and whoever follows would need the watch's clock to judge them.
 *
 * While it is connected the findings that every ring-out makes are held back (watcher/ring_out.h).
 * When it goes, the watch takes what it kept, unless it had read that already.
 */
#ifndef GAINWARDEN_WATCH_RELAY_H
#define GAINWARDEN_WATCH_RELAY_H

#include "base/json.h"

struct watch_desk;
struct relay;

enum { RELAY_VALUES = 2000, RELAY_RINGS_A_S = 4 };

struct relay *relay_new(struct watch_desk *desk);
void relay_free(struct relay *relay);

/* Begins; the first line, or NULL with the error. */
struct json *relay_begin(struct relay *relay, const struct json *request, const char **error);

/* What whoever follows shows of it (screen/ring_view_json.h), for the board; NULL, else what is wrong
 * with it. */
const char *relay_take_view(struct relay *relay, const struct json *view);

/* As it was shown last; NULL: nobody follows, or he has shown nothing for five seconds. */
const struct json *relay_view(const struct relay *relay);

/* Before the loop sleeps: whoever follows is told what moved; and when he has gone, that is the end. */
void relay_turn(struct relay *relay);

#endif
