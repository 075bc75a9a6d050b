/* What the room is doing, and what may interrupt it then.
 */
#ifndef GAINWARDEN_RULES_SHOW_STATE_H
#define GAINWARDEN_RULES_SHOW_STATE_H

#include <stdbool.h>

#include "verdict.h"

enum show_state { STATE_LINE_CHECK, STATE_DOORS, STATE_SHOW, STATE_CHANGEOVER, STATES };

struct show_state_row {
    enum weight from_weight; /* findings of less weight are held back */
    bool setting_up;         /* the desk is being set up: when it ends, it is taken as it stands */
    const char *help;
};

extern const struct show_state_row show_states[STATES];

/* "line-check", "doors", ...: as PARAM_DESK_SHOW_STATE spells them. */
const char *state_name(enum show_state state);

/* STATES when none is called so. */
enum show_state state_find(const char *name);

#endif
