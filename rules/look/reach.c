/* SPDX-License-Identifier: MIT */
#include "look/reach.h"

#include <math.h>

/* Whether the send is open and, where asked, behind the channel's filters. False when not known. */
static bool
counts(struct look *look, int input, int mix, bool filtered, bool *open)
{
    struct send_level send;

    if (!look_send_db(look, input, mix, &send))
        return false;
    *open = send.db + send.fader_db > -HUGE_VAL && !(filtered && send.tap == TAP_PRE_EQ);
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
