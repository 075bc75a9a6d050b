/* SPDX-License-Identifier: MIT */
#include "desk/pair.h"

#include <string.h>

#include "desk/label.h"

enum side { SIDE_NONE, SIDE_LEFT, SIDE_RIGHT };

static enum side
side_of_word(const char *word)
{
    if (strcmp(word, "l") == 0 || strcmp(word, "left") == 0)
        return SIDE_LEFT;
    return strcmp(word, "r") == 0 || strcmp(word, "right") == 0 ? SIDE_RIGHT : SIDE_NONE;
}

/* The label without the word that tells the side. */
static enum side
take_side(struct label *label)
{
    enum side side = SIDE_NONE;
    int kept = 0;

    for (int i = 0; i < label->count; i++) {
        enum side told = side_of_word(label->words[i]);

        if (told != SIDE_NONE)
            side = told;
        else if (kept++ < i)
            memcpy(label->words[kept - 1], label->words[i], LABEL_WORD_SIZE);
    }
    label->count = kept;
    return side;
}

static bool
labels_pair(const char *one, const char *other)
{
    struct label first, second;
    enum side left, right;

    label_read(&first, one);
    label_read(&second, other);
    left = take_side(&first);
    right = take_side(&second);
    if (left == SIDE_NONE || right == SIDE_NONE || left == right || first.count != second.count)
        return false;
    for (int i = 0; i < first.count; i++)
        if (strcmp(first.words[i], second.words[i]) != 0)
            return false;
    return true;
}

static bool
is_in_ear(const struct desk *desk, const struct show *show, int mix)
{
    const struct value *label = desk_value(desk, PARAM_MIX_NAME, mix, 0);

    if (show->mixes[mix].feeds != FEEDS_UNKNOWN)
        return show->mixes[mix].feeds == FEEDS_IN_EAR;
    return value_is(label, FEEDS_IN_EAR);
}

/* Whether this mix and the next are a pair. */
static bool
begins_pair(const struct desk *desk, const struct show *show, int mix)
{
    const char *player, *next;

    if (mix + 1 >= desk_count(desk, INDEX_MIX) || !is_in_ear(desk, show, mix) ||
        !is_in_ear(desk, show, mix + 1))
        return false;
    player = show->mixes[mix].player;
    next = show->mixes[mix + 1].player;
    if (*player && *next && !label_equal(player, next))
        return false;
    return (*player && *next) || labels_pair(desk_text(desk, PARAM_MIX_NAME, mix, 0),
                                             desk_text(desk, PARAM_MIX_NAME, mix + 1, 0));
}

/* From the first of a row of neighbours that could each pair with the next, two by two. */
int
pair_of(const struct desk *desk, const struct show *show, int mix)
{
    int first = mix;

    while (first > 0 && begins_pair(desk, show, first - 1))
        first--;
    if ((mix - first) % 2 == 1)
        return mix - 1;
    return begins_pair(desk, show, mix) ? mix + 1 : -1;
}
