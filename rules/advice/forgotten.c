/* SPDX-License-Identifier: MIT */
#include "advice/forgotten.h"

#include <math.h>

#include "advice/way.h"
#include "change/difference.h"
#include "change/offset.h"
#include "sound/path.h"

static const double tiny = 1e-6;

/* What a walk over the paths of one preamp finds. */
struct walk {
    struct draft *draft;
    const struct desk *from;
    int agreed, forgotten; /* paths as loud as they were; sends that did not go along */
    bool other;            /* something else moved, or is not known */
};

static double
head_db(const struct path_level *level)
{
    return level->preamp_db - level->pad_db + level->trim_db;
}

/* How the path stands; a send that did not go along goes as far as the head went the other way. */
static void
look_at_path(struct walk *walk, int input, int mix, bool move)
{
    const struct desk *desk = walk->draft->planner->desk;
    struct path_level was, is;
    double rose_db, head_rose_db;

    if (!path_level_on(walk->from, input, mix, &was) || !path_level_on(desk, input, mix, &is)) {
        walk->other = true;
        return;
    }
    if (was.sum_db == -HUGE_VAL && is.sum_db == -HUGE_VAL)
        return;
    rose_db = is.sum_db - was.sum_db;
    head_rose_db = head_db(&is) - head_db(&was);
    if (fabs(rose_db) < fmax(OFFSET_TOLERANCE_DB, 2 * desk_step(desk, PARAM_SEND_LEVEL)))
        walk->agreed++;
    else if (isfinite(rose_db) && fabs(rose_db - head_rose_db) < tiny &&
             difference_of(walk->from, desk, PARAM_SEND_LEVEL, input, mix) == SAME)
        walk->forgotten++;
    else
        walk->other = true;
    if (move && fabs(rose_db - head_rose_db) < tiny)
        draft_move(
            walk->draft, PARAM_SEND_LEVEL, input, mix,
            planner_floor(walk->draft->planner, PARAM_SEND_LEVEL, is.send_db - head_rose_db));
}

static void
look_at_paths(struct walk *walk, int first, bool move)
{
    const struct planner *planner = walk->draft->planner;

    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++)
        for (int mix = 0;
             planner->preamps[input] == first && mix < desk_count(planner->desk, INDEX_MIX); mix++)
            look_at_path(walk, input, mix, move);
}

bool
forgotten_sends(struct draft *draft, const struct desk *from, int input)
{
    struct walk walk = {draft, from, 0, 0, false};
    int first = draft->planner->preamps[input];

    if (first < 0)
        return false;
    look_at_paths(&walk, first, false);
    if (walk.other || walk.forgotten == 0 || walk.agreed <= walk.forgotten)
        return false;
    look_at_paths(&walk, first, true);
    return true;
}
