/* SPDX-License-Identifier: MIT */
/* Whose microphone is rung out in a mix: its player's. */
#include "desk/label.h"
#include "desk/player.h"
#include "proof/counted.h"
#include "ring/parts.h"

static bool
plays(const struct ringing *ringing, int input, const char *player)
{
    const char *named = ringing->show->inputs[input].player;

    if (counted_input(ringing->desk, ringing->show, input) == SURE_NO)
        return false;
    return label_equal(*named ? named : desk_text(ringing->desk, PARAM_INPUT_NAME, input, 0),
                       player);
}

int
ringing_own(const struct ringing *ringing, int mix)
{
    char player[SHOW_NAME_SIZE];
    int count = 0, open_count = 0, own = -1, open = -1;

    player_of_mix(ringing->desk, ringing->show, mix, player);
    for (int input = 0; *player && input < ringing->inputs; input++) {
        if (!plays(ringing, input, player))
            continue;
        count++;
        own = input;
        if (side_spot(&ringing->side, input, mix)->open == SURE_NO)
            continue;
        open_count++;
        open = input;
    }
    if (count == 1)
        return own;
    return open_count == 1 ? open : -1;
}

void
ringing_find_own(struct ringing *ringing)
{
    for (int i = 0; i < ringing->count; i++) {
        struct course *course = &ringing->courses[i];

        if (course->phase == PHASE_READY && course->input < 0)
            course->input = ringing_own(ringing, course->mix);
    }
}
