/* SPDX-License-Identifier: MIT */
/* Sends from before the fader instead of from behind it, as loud as they are: what the fader and
 * the groups take or give, the send takes or gives then.
 */
#include <math.h>

#include "advice/draft.h"
#include "sound/path.h"

static const enum param_id reads[] = {PATH_LEVEL_READS, PARAMS};

/* On a monitor desk a fader that is parked at 0 dB with its groups, to within the check's own
 * setting, is a technique. */
static bool
is_parked(const struct show *show, double fader_db)
{
    return show->role == ROLE_MONITOR &&
           fabs(fader_db) <= show->checks[CHECK_SEND_FOLLOWS_FADER].settings[0];
}

/* What a group's mute closes today would be open before the fader. */
static bool
is_muted_by_group(const struct planner *planner, int input)
{
    for (int group = 0; group < desk_count(planner->desk, INDEX_GROUP); group++)
        if (!value_is(desk_value(planner->desk, PARAM_INPUT_GROUP, input, group), 0) &&
            !value_is(desk_value(planner->desk, PARAM_GROUP_MUTE, group, 0), 0))
            return true;
    return false;
}

static void
add_send(struct draft *draft, struct look *look, int input, int mix)
{
    const struct planner *planner = draft->planner;
    struct path_level level;

    if (!path_level(look, input, mix, &level)) {
        draft_stop(draft, STOP_NOT_KNOWN, PARAM_SEND_LEVEL, input, mix);
        return;
    }
    if (level.sum_db == -HUGE_VAL || is_muted_by_group(planner, input) ||
        is_parked(planner->ground.show, level.fader_db) ||
        !value_is(desk_value(planner->desk, PARAM_SEND_TAP, input, mix), TAP_POST_FADER))
        return;
    draft_expect(draft, PARAM_INPUT_FADER, input, 0);
    for (int group = 0; group < desk_count(planner->desk, INDEX_GROUP); group++)
        draft_expect(draft, PARAM_GROUP_FADER, group, 0);
    draft_move(draft, PARAM_SEND_LEVEL, input, mix,
               planner_floor(planner, PARAM_SEND_LEVEL, level.send_db + level.fader_db));
    draft_move(draft, PARAM_SEND_TAP, input, mix, TAP_PRE_FADER);
}

/* Where the role is not told, whether the sends are meant so is a question. */
void
plan_taps(struct planner *planner)
{
    struct verdict verdict;

    for (int mix = 0; mix < desk_count(planner->desk, INDEX_MIX); mix++) {
        struct object object = {-1, mix};
        struct look look = look_reader(planner->desk, planner->ground.show, reads, &verdict);
        struct draft draft;

        if (!planner_finds(planner, CHECK_SEND_FOLLOWS_FADER, object, &verdict))
            continue;
        draft_begin(&draft, planner, CARD_TAP, CHECK_SEND_FOLLOWS_FADER, object);
        for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++)
            add_send(&draft, &look, input, mix);
        draft_end(&draft);
    }
}
