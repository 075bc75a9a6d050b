/* SPDX-License-Identifier: MIT */
/* How it stands with the line to a desk, in words for people and for files: the link (link.h) goes
 * through these, and a recording keeps them.
 */
#ifndef GAINWARDEN_LINK_STATE_H
#define GAINWARDEN_LINK_STATE_H

#include <stdbool.h>

enum link_state { LINK_RESOLVING, LINK_READING, LINK_STEADY, LINK_LOST };

const char *link_state_name(enum link_state state);

/* False when no link state is called so. */
bool link_state_find(const char *name, enum link_state *state);

#endif
