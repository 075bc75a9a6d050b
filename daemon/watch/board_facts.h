/* SPDX-License-Identifier: MIT */
/* What the board shows, as JSON: the facts of the terminal's screen, and a tile a mix. Texts are
 * final words for people.
 *
 *   {"version": 1, "at_ms", "clock": "21:37:08", "boot",
 *    "desks": [{"show", "room", "room_left",
 *               "link": {"state", "says", "heard_ms", "lost", "since"},
 *               "now": [finding], "now_more", "quiet": {"for_s", "by_hand"},
 *               "open": {"stop", "fix", "note", "held_back"},
 *               "tiles": [tile], "changed": [{"at", "arrow", "what", "now"}], "approved",
 *               "held": [line], "not_known_count", "not_known": [line], "proved": [line],
 *               "quieted": [line],
 *               "told": [{"at_ms", "at", "says"}]}],
 *    "ring_out": {"desk", ...} as in screen/ring_view_json.h, or null: nobody follows one}
 *
 * "now" is what is newer than a minute or was not seen by anybody, unless it is held back; what
 * weighs stop stands there whatever but a quieting holds it back. The newest BOARD_NOW of them are
 * listed, and so many more counted.
 */
#ifndef GAINWARDEN_WATCH_BOARD_FACTS_H
#define GAINWARDEN_WATCH_BOARD_FACTS_H

#include "base/json.h"

struct watch_desk;

enum { BOARD_VERSION = 1, BOARD_NOW = 64, BOARD_CHANGED = 64 };

/* Of all desks. `boot`: another text after each start. */
struct json *board_facts(struct watch_desk *const *desks, int count, const char *boot);

#endif
