/* SPDX-License-Identifier: MIT */
#include "desk/player.h"

#include <math.h>
#include <string.h>

#include "desk/label.h"

void
player_of_mix(const struct desk *desk, const struct show *show, int mix,
              char player[SHOW_NAME_SIZE])
{
    const struct show_mix *said = &show->mixes[mix];

    if (*said->player)
        memcpy(player, said->player, SHOW_NAME_SIZE);
    else
        feeds_from_label(desk_text(desk, PARAM_MIX_NAME, mix, 0), player);
}

static char
small(char letter)
{
    return letter >= 'A' && letter <= 'Z' ? (char)(letter - 'A' + 'a') : letter;
}

static bool
begins_with(const char *text, const char *word)
{
    while (*word && small(*text) == small(*word)) {
        text++;
        word++;
    }
    return !*word;
}

bool
player_label_has_mix(const struct desk *desk, int input, int mix)
{
    const char *of_input = desk_text(desk, PARAM_INPUT_NAME, input, 0);
    const char *of_mix = desk_text(desk, PARAM_MIX_NAME, mix, 0);
    char rest[SHOW_NAME_SIZE];

    if (!*of_input || !begins_with(of_mix, of_input)) /* most end here, and cost next to nothing */
        return false;
    return feeds_from_label(of_mix, rest) != FEEDS_UNKNOWN && label_equal(of_input, rest);
}

bool
player_has_mix(const struct desk *desk, const struct show *show, int input, int mix)
{
    const char *player = show->inputs[input].player;

    return (*player && label_equal(player, show->mixes[mix].player)) ||
           player_label_has_mix(desk, input, mix);
}

/* The mix in which an input is loudest, as far as is known; -1: none. */
static int
loudest_mix(const struct desk *desk, int input)
{
    double loudest = -HUGE_VAL;
    int best = -1;

    for (int mix = 0; mix < desk_count(desk, INDEX_MIX); mix++) {
        const struct value *level = desk_value(desk, PARAM_SEND_LEVEL, input, mix);

        if (value_number(level) > loudest) {
            loudest = value_number(level);
            best = mix;
        }
    }
    return best;
}

bool
player_of(const struct desk *desk, const struct show *show, struct object object,
          const struct verdict *verdict, char player[SHOW_NAME_SIZE])
{
    int input = object.input, mix = object.mix;

    player[0] = '\0';
    if (input >= 0) {
        memcpy(player, show->inputs[input].player, SHOW_NAME_SIZE);
        if (*player)
            return false;
        mix = verdict->mix >= 0 ? verdict->mix : loudest_mix(desk, input);
    }
    if (mix < 0)
        return false;
    player_of_mix(desk, show, mix, player);
    return *player && (input >= 0 || !*show->mixes[mix].player);
}
