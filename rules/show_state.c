#include "show_state.h"

#include <string.h>

const struct show_state_row show_states[STATES] = {
    [STATE_LINE_CHECK] = {"line-check", WEIGHT_STOP, true,
                          "everything moves: only findings of weight stop are told"},
    [STATE_DOORS] = {"doors", WEIGHT_NOTE, false, "everything is told"},
    [STATE_SHOW] = {"show", WEIGHT_FIX, false, "notes are held back"},
    [STATE_CHANGEOVER] = {"changeover", WEIGHT_STOP, true, "as line-check, and it ends by itself"},
};

const char *
state_name(enum show_state state)
{
    return show_states[state].name;
}

enum show_state
state_find(const char *name)
{
    int state = 0;

    while (state < STATES && strcmp(show_states[state].name, name) != 0)
        state++;
    return (enum show_state)state;
}
