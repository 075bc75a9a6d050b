/* SPDX-License-Identifier: MIT */
#include "look/reach.h"

/* Whether the send is open and, where asked, behind the channel's filters. False when not known. */
static bool
counts(struct look *look, int input, int mix, bool filtered, bool *open)
{
    double tap;

    if (!look_send_open(look, input, mix, open))
        return false;
    if (!*open || !filtered)
        return true;
    if (!look_number(look, PARAM_SEND_TAP, input, mix, &tap))
        return false;
    *open = tap != TAP_PRE_EQ;
    return true;
}

enum reach
reach_of(struct look *look, int input, bool filtered, int *mix)
{
    enum reach reach = REACH_NOWHERE;

    *mix = -1;
    for (int i = 0; i < desk_count(look->desk, INDEX_MIX); i++) {
        bool open = false;
        enum feeds feeds;

        if (!counts(look, input, i, filtered, &open) || !open)
            continue;
        feeds = look_feeds(look, i);
        if (feeds_loudspeaker(feeds)) {
            *mix = i;
            return REACH_LOUDSPEAKER;
        }
        if (feeds == FEEDS_IN_EAR && reach == REACH_NOWHERE) {
            reach = REACH_EARS;
            *mix = i;
        }
    }
    return look->missing > 0 ? REACH_UNKNOWN : reach;
}
