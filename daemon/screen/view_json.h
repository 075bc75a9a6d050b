/* SPDX-License-Identifier: MIT */
/* A view as it is sent to whoever looks at the screen of a watch from elsewhere:
 *
 *   {"version": 1, "chosen": 0, "desks": [{"show", "room", "link", "lost",
 *      "findings": [{"weight", "fresh", "stale", "closed", "player", "figure", "brief", "says",
 *                    "since", "hidden"}],
 *      "unlisted": {"stop", "fix", "note", "held_back"}, "unknown": [...], "not_known",
 *      "proved": [...], "quieted": [...], "last": [...]}]}
 *
 * Bounded: of many findings the first are listed and the others counted. What is read was written
 * by another program and is checked: kinds, counts, lengths, and that no text can move the cursor.
 */
#ifndef GAINWARDEN_VIEW_JSON_H
#define GAINWARDEN_VIEW_JSON_H

#include "base/json.h"
#include "screen/view.h"

enum {
    VIEW_VERSION = 1,
    VIEW_DESKS = 64,
    VIEW_LISTED = 400, /* findings in all, but VIEW_LISTED_LEAST of each desk */
    VIEW_LISTED_LEAST = 10,
    VIEW_LINES = 64,     /* of what is not known, proved, quieted, last */
    VIEW_BYTES = 4 << 20 /* of a view as text, at most */
};

/* The view, without what the screen fills in but the desk that is chosen. */
struct json *view_json(const struct view *view);

/* The view that was sent; its desks and their lists are given back with the other. NULL, with the
 * reason in the problems, when it is none. */
struct view *view_read(const struct json *json, struct problems *problems);
void view_free(struct view *view);

#endif
