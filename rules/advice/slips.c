/* SPDX-License-Identifier: MIT */
/* A send or master that left where it was meant to stand and is found for its level goes back there,
 * and nothing is advised to make up for it. Sends and masters are ridden, so where they stand is no
 * drift; but where a finding was not there when the desk was as it was meant, or not so bad, and
 * that ends when one of them goes back, that hand is its cause.
 */
#include <math.h>
#include <stdlib.h>

#include "advice/back.h"
#include "advice/draft.h"
#include "change/difference.h"
#include "change/offset.h"
#include "core/need.h"
#include "sound/path.h"

static const double tiny = 1e-6;

/* What may have slipped, for one finding. */
struct slip {
    struct planner *planner;
    const struct desk *from;
    int check;
    struct object object;
    double was; /* how bad it was; see badness() */
    struct card_move *moves;
    size_t count;
};

/* ---- what moved ---- */

/* Whether the path is another by what the control moved, and by nothing else: what a re-trim left as
 * loud as it was did not slip, and goes nowhere on its own. */
static bool
moved_path(const struct slip *slip, const struct card_move *move, int input, int mix)
{
    double tolerance_db =
        fmax(OFFSET_TOLERANCE_DB, 2 * desk_step(slip->planner->desk, PARAM_SEND_LEVEL));
    struct path_level was, is;
    double rose_db;

    if (!path_level_on(slip->from, input, mix, &was) ||
        !path_level_on(slip->planner->desk, input, mix, &is) || was.sum_db == is.sum_db)
        return false;
    rose_db = is.sum_db - was.sum_db;
    if (isinf(rose_db))
        return isinf(move->now - move->to);
    return fabs(rose_db) >= tolerance_db && fabs(rose_db - move->now + move->to) < tiny;
}

static bool
moved_any_path(const struct slip *slip, const struct card_move *move, int mix)
{
    int input = 0, inputs = desk_count(slip->from, INDEX_INPUT);

    while (input < inputs && !moved_path(slip, move, input, mix))
        input++;
    return input < inputs;
}

static void
add(struct slip *slip, enum param_id id, int row, int column)
{
    const struct desk *desk = slip->planner->desk;
    struct card_move move = {id, row, column, value_number(desk_value(desk, id, row, column)),
                             value_number(desk_value(slip->from, id, row, column))};

    if (difference_of(slip->from, desk, id, row, column) == OTHER &&
        (id == PARAM_MIX_FADER ? moved_any_path(slip, &move, row)
                               : moved_path(slip, &move, row, column)))
        slip->moves[slip->count++] = move;
}

static void
gather(struct slip *slip)
{
    struct object object = slip->object;

    if (object.mix >= 0)
        add(slip, PARAM_MIX_FADER, object.mix, 0);
    for (int mix = 0; object.input >= 0 && mix < desk_count(slip->from, INDEX_MIX); mix++)
        add(slip, PARAM_SEND_LEVEL, object.input, mix);
}

/* ---- which it was ---- */

/* How bad it is on a desk: 0: it passes; NAN: nobody knows, or another finding tells. */
static double
badness(const struct slip *slip, const struct desk *desk)
{
    struct ground ground = *slip->planner->wish->ground;
    struct verdict verdict;

    ground.desk = desk;
    ground.loudest_db = planner_loudest(slip->planner, desk);
    check_run(slip->planner->wish->set->of[slip->check], &ground, CHECK_AFRESH, slip->object,
              &verdict, NULL);
    return verdict.outcome == OUTCOME_FINDING ? verdict.severity
           : verdict.outcome == OUTCOME_PASS  ? 0
                                              : NAN;
}

/* Whether it is as good as it was with these. */
static bool
ends_it(const struct slip *slip, struct card_move *moves, size_t count)
{
    const struct card card = {.moves = moves, .count = count};
    bool ends;

    planner_make_moves(slip->planner, &card);
    ends = badness(slip, slip->planner->desk) <= slip->was + tiny;
    planner_take_back(slip->planner, &card);
    return ends;
}

static double
how_far(const struct card_move *move)
{
    return fabs(move->now - move->to); /* infinite where one is off */
}

/* The one that moved farthest of those that are enough alone; else all, where all together are. */
static void
choose(struct slip *slip)
{
    const struct card_move *one = NULL;

    for (size_t i = 0; i < slip->count; i++)
        if ((!one || how_far(&slip->moves[i]) > how_far(one)) && ends_it(slip, &slip->moves[i], 1))
            one = &slip->moves[i];
    if (one) {
        slip->moves[0] = *one;
        slip->count = 1;
    } else if (slip->count > 0 && !ends_it(slip, slip->moves, slip->count)) {
        slip->count = 0;
    }
}

/* ---- the card ---- */

static void
make(const struct slip *slip)
{
    struct plan *plan = slip->planner->plan;
    struct draft draft;

    draft_begin(&draft, slip->planner, CARD_PUT_BACK, slip->check, slip->object);
    for (size_t i = 0; i < slip->count; i++)
        draft_move(&draft, slip->moves[i].id, slip->moves[i].row, slip->moves[i].column,
                   slip->moves[i].to);
    if (back_end(&draft))
        planner_move_base(slip->planner, &plan->cards[plan->count - 1]);
}

/* Whether the finding is new, or worse than it was by a step that would be told. */
static bool
is_worse(struct slip *slip)
{
    const struct planner *planner = slip->planner;
    struct verdict verdict;

    if (!planner_finds(planner, slip->check, slip->object, &verdict))
        return false;
    slip->was = badness(slip, slip->from);
    return slip->was == 0 ||
           verdict.severity >= slip->was + planner->wish->set->of[slip->check]->worse_step;
}

/* Whether one of the controls stands elsewhere: most objects end there, and to judge one costs far
 * more. */
static bool
differs(const struct slip *slip)
{
    const struct desk *now = slip->planner->desk;
    int input = slip->object.input, mix = 0, mixes = desk_count(now, INDEX_MIX);

    if (input < 0)
        return difference_of(slip->from, now, PARAM_MIX_FADER, slip->object.mix, 0) == OTHER;
    while (mix < mixes && difference_of(slip->from, now, PARAM_SEND_LEVEL, input, mix) != OTHER)
        mix++;
    return mix < mixes;
}

static void
look_at(struct slip slip, int check, struct object object)
{
    slip.check = check;
    slip.object = object;
    if (!differs(&slip) || !is_worse(&slip))
        return;
    gather(&slip);
    choose(&slip);
    if (slip.count > 0)
        make(&slip);
}

void
plan_slips(struct planner *planner)
{
    int mixes = desk_count(planner->desk, INDEX_MIX);
    struct slip slip = {.planner = planner, .from = ground_meant(&planner->ground), .was = NAN};

    if (!slip.from)
        return;
    slip.moves = need_memory((size_t)mixes + 1, sizeof *slip.moves);
    for (int mix = 0; mix < mixes; mix++)
        look_at(slip, CHECK_MASTER_OFF_UNITY, (struct object){-1, mix});
    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++) {
        look_at(slip, CHECK_OWN_SEND_OFF_UNITY, (struct object){input, -1});
        look_at(slip, CHECK_UNUSED_PREAMP_GAIN, (struct object){input, -1});
    }
    free(slip.moves);
}
