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
    double head_rose_db;   /* of preamp, pad and trim, alike for all its inputs */
    int agreed, forgotten; /* paths as loud as they were; sends that did not go along */
    bool other;            /* something else moved, or is not known, or cannot go along */
};

static double
head_db(const struct path_level *level)
{
    return level->preamp_db - level->pad_db + level->trim_db;
}

static bool
fits(const struct desk *desk, double send_db)
{
    struct travel travel = desk_travel(desk, PARAM_SEND_LEVEL);

    return !(send_db > travel.most) && !(send_db < travel.least);
}

/* Whether the send stands where it stood, while all before it moved. */
static bool
is_forgotten(const struct walk *walk, int input, int mix, double rose_db)
{
    const struct desk *desk = walk->draft->planner->desk;

    return isfinite(rose_db) && fabs(rose_db - walk->head_rose_db) < tiny &&
           difference_of(walk->from, desk, PARAM_SEND_LEVEL, input, mix) == SAME &&
           fits(desk,
                value_number(desk_value(desk, PARAM_SEND_LEVEL, input, mix)) - walk->head_rose_db);
}

typedef void path_fn(struct walk *walk, int input, int mix, double rose_db);

static void
count(struct walk *walk, int input, int mix, double rose_db)
{
    double grid_db = 2 * desk_step(walk->draft->planner->desk, PARAM_SEND_LEVEL);

    if (is_forgotten(walk, input, mix, rose_db))
        walk->forgotten++;
    else if (fabs(rose_db) < fmin(fmax(OFFSET_TOLERANCE_DB, grid_db), fabs(walk->head_rose_db) / 2))
        walk->agreed++;
    else
        walk->other = true;
}

/* As far as the head went the other way. */
static void
take_along(struct walk *walk, int input, int mix, double rose_db)
{
    struct planner *planner = walk->draft->planner;
    double send_db = value_number(desk_value(planner->desk, PARAM_SEND_LEVEL, input, mix));

    if (is_forgotten(walk, input, mix, rose_db))
        draft_move(walk->draft, PARAM_SEND_LEVEL, input, mix,
                   planner_floor(planner, PARAM_SEND_LEVEL, send_db - walk->head_rose_db));
}

static void
look_at_path(struct walk *walk, int input, int mix, path_fn *each)
{
    struct path_level was, is;

    if (!path_level_on(walk->from, input, mix, &was) ||
        !path_level_on(walk->draft->planner->desk, input, mix, &is)) {
        walk->other = true;
        return;
    }
    if (was.sum_db == -HUGE_VAL && is.sum_db == -HUGE_VAL)
        return;
    if (walk->head_rose_db == 0)
        walk->head_rose_db = head_db(&is) - head_db(&was);
    walk->other |= !(fabs(head_db(&is) - head_db(&was) - walk->head_rose_db) < tiny);
    each(walk, input, mix, is.sum_db - was.sum_db);
}

static void
look_at_paths(struct walk *walk, int first, path_fn *each)
{
    const struct planner *planner = walk->draft->planner;

    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++)
        for (int mix = 0;
             planner->preamps[input] == first && mix < desk_count(planner->desk, INDEX_MIX); mix++)
            look_at_path(walk, input, mix, each);
}

bool
forgotten_sends(struct draft *draft, const struct desk *from, int input)
{
    struct walk walk = {.draft = draft, .from = from};
    int first = draft->planner->preamps[input];

    if (first < 0)
        return false;
    look_at_paths(&walk, first, count);
    if (walk.other || walk.forgotten == 0 || walk.agreed <= walk.forgotten)
        return false;
    look_at_paths(&walk, first, take_along);
    return true;
}
