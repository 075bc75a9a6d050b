/* SPDX-License-Identifier: MIT */
/* What is shown of a ring-out, for who looks at it from elsewhere:
 *
 *   {"title", "link", "lost", "next", "urgent", "figures": [], "care": [], "rings": [], "seen": [],
 *    "large": [next, seen, figures]}
 *
 * Of what was seen the last RING_VIEW_SEEN lines.
 */
#ifndef GAINWARDEN_SCREEN_RING_VIEW_JSON_H
#define GAINWARDEN_SCREEN_RING_VIEW_JSON_H

#include "base/json.h"
#include "screen/ring_view.h"

enum { RING_VIEW_SEEN = 12, RING_VIEW_LINES = 16 /* of each other list at most */ };

struct json *ring_view_json(const struct ring_view *view);

/* The same of what somebody sent: what it says, made safe, and nothing else; NULL where it is no such
 * view. */
struct json *ring_view_clean(const struct json *json);

#endif
