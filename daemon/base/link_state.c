/* SPDX-License-Identifier: MIT */
#include "base/link_state.h"

#include <string.h>

static const char *const state_names[] = {"resolving", "reading", "steady", "lost"};

const char *
link_state_name(enum link_state state)
{
    return state_names[state];
}

bool
link_state_find(const char *name, enum link_state *state)
{
    for (*state = LINK_RESOLVING; *state <= LINK_LOST; ++*state)
        if (strcmp(state_names[*state], name) == 0)
            return true;
    return false;
}
