#include "show_state.h"

#include "param.h"

const struct show_state_row show_states[STATES] = {
    [STATE_LINE_CHECK] = {WEIGHT_STOP, true,
                          "everything moves: only findings of weight stop are told"},
    [STATE_DOORS] = {WEIGHT_NOTE, false, "everything is told"},
    [STATE_SHOW] = {WEIGHT_FIX, false, "notes are held back"},
    [STATE_CHANGEOVER] = {WEIGHT_STOP, true, "as line-check, and it ends by itself"},
};

const char *
state_name(enum show_state state)
{
    return param_words(PARAM_DESK_SHOW_STATE)[state];
}

enum show_state
state_find(const char *name)
{
    int state = param_word(PARAM_DESK_SHOW_STATE, name);

    return state < 0 ? STATES : (enum show_state)state;
}
