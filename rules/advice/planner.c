/* SPDX-License-Identifier: MIT */
#include "advice/planner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "sound/path.h"

bool
planner_finds(const struct planner *planner, int check, struct object object,
              struct verdict *verdict)
{
    const struct check *row = planner->wish->set->of[check];

    verdict->outcome = OUTCOME_NOT_ASKED;
    if (!row || planner->ground.show->checks[check].off)
        return false;
    check_run(row, &planner->ground, CHECK_AFRESH, object, verdict, NULL);
    return verdict->outcome == OUTCOME_FINDING &&
           !held_covers(planner->ground.show, planner->wish->day, check, object, verdict);
}

/* Whether there is such an object, and the check looks at it. */
static bool
is_asked(const struct planner *planner, int check, struct object object)
{
    const struct check *row = planner->wish->set->of[check];

    return row && ((object.input >= 0 && row->objects & OBJECT_INPUT) ||
                   (object.mix >= 0 && row->objects & OBJECT_MIX));
}

static bool
accepts_of(const struct planner *planner, enum param_id id, struct object object)
{
    struct verdict verdict;

    for (int check = 0; check < CHECKS; check++)
        if (held_is_moved_for(check, id) && is_asked(planner, check, object) &&
            !planner_finds(planner, check, object, &verdict) && verdict.outcome == OUTCOME_FINDING)
            return true;
    return false;
}

static struct object
input_of(enum param_id id, int row)
{
    return (struct object){params[id].row == INDEX_INPUT ? row : -1, -1};
}

static struct object
mix_of(enum param_id id, int row, int column)
{
    return (struct object){-1, params[id].row == INDEX_MIX      ? row
                               : params[id].column == INDEX_MIX ? column
                                                                : -1};
}

bool
planner_accepts(const struct planner *planner, enum param_id id, int row, int column)
{
    return accepts_of(planner, id, input_of(id, row)) ||
           accepts_of(planner, id, mix_of(id, row, column));
}

static bool
is_past(const struct planner *planner, const struct accept *accept, struct object object)
{
    struct verdict verdict;

    return is_asked(planner, accept->check, object) &&
           planner_finds(planner, accept->check, object, &verdict) &&
           verdict.severity > accept->up_to;
}

bool
planner_outgrew(const struct planner *planner, const struct accept *accept, enum param_id id,
                int row, int column)
{
    return isfinite(accept->up_to) && (is_past(planner, accept, input_of(id, row)) ||
                                       is_past(planner, accept, mix_of(id, row, column)));
}

/* ---- what it rests on ---- */

static void
add_rest(struct card *card, size_t other)
{
    size_t at = 0;

    while (at < card->rest_count && card->rests_on[at] < other)
        at++;
    if (at < card->rest_count && card->rests_on[at] == other)
        return;
    card->rests_on = need_more(card->rests_on, card->rest_count + 1, sizeof *card->rests_on);
    for (size_t i = card->rest_count++; i > at; i--)
        card->rests_on[i] = card->rests_on[i - 1];
    card->rests_on[at] = other;
}

size_t *
planner_mover(struct planner *planner, enum param_id id, int row, int column)
{
    size_t **movers = &planner->movers[id];
    int columns = desk_columns(planner->desk, id);

    if (!*movers)
        *movers =
            need_memory((size_t)desk_rows(planner->desk, id) * (size_t)columns, sizeof **movers);
    return &(*movers)[row * columns + column];
}

/* ---- making the moves ---- */

static bool
is_level(enum param_id id)
{
    static const enum param_id levels[] = {PATH_LEVEL_READS};
    size_t i = 0;

    while (i < sizeof levels / sizeof *levels && levels[i] != id)
        i++;
    return i < sizeof levels / sizeof *levels;
}

static void
forget(double *loudest_db, int mixes)
{
    for (int mix = 0; mix < mixes; mix++)
        loudest_db[mix] = NAN;
}

void
planner_forget_loudest(struct planner *planner)
{
    if (planner->ground.loudest_db)
        forget(planner->ground.loudest_db, desk_count(planner->desk, INDEX_MIX));
}

static void
forget_levels(struct planner *planner, const struct card *card)
{
    size_t i = 0;

    while (i < card->count && !is_level(card->moves[i].id))
        i++;
    if (i < card->count)
        planner_forget_loudest(planner);
}

double *
planner_loudest(const struct planner *planner, const struct desk *desk)
{
    return desk == planner->base                     ? planner->base_loudest_db
           : desk == planner->wish->ground->approved ? planner->approved_loudest_db
                                                     : NULL;
}

bool
planner_fails_on(const struct planner *planner, const struct desk *desk, int check,
                 struct object object)
{
    struct ground ground = *planner->wish->ground;
    struct verdict verdict;

    ground.desk = desk;
    ground.loudest_db = planner_loudest(planner, desk);
    check_run(planner->wish->set->of[check], &ground, CHECK_AFRESH, object, &verdict, NULL);
    return verdict.outcome == OUTCOME_FINDING || verdict.outcome == OUTCOME_FOLDED;
}

void
planner_move_base(struct planner *planner, const struct card *card)
{
    int inputs = desk_count(planner->desk, INDEX_INPUT);
    int mixes = desk_count(planner->desk, INDEX_MIX);

    for (size_t i = 0; planner->base && i < card->count; i++)
        desk_set(planner->base, card->moves[i].id, card->moves[i].row, card->moves[i].column,
                 card->moves[i].to, planner->ground.now_ms);
    forget(planner->base_loudest_db, mixes);
    memset(planner->old, 0, CHECKS * (size_t)(inputs + mixes) * sizeof *planner->old);
}

/* A preamp that feeds several inputs is one control, published with each. */
static void
set(struct planner *planner, const struct card_move *move, double number)
{
    int first = move->id == PARAM_INPUT_PREAMP_GAIN ? planner->preamps[move->row] : -1;

    desk_set(planner->desk, move->id, move->row, move->column, number, planner->ground.now_ms);
    for (int input = first; input >= 0 && input < desk_count(planner->desk, INDEX_INPUT); input++)
        if (planner->preamps[input] == first)
            desk_set(planner->desk, move->id, input, 0, number, planner->ground.now_ms);
}

void
planner_make_moves(struct planner *planner, const struct card *card)
{
    for (size_t i = 0; i < card->count; i++)
        set(planner, &card->moves[i], card->moves[i].to);
    forget_levels(planner, card);
}

void
planner_take_back(struct planner *planner, const struct card *card)
{
    for (size_t i = card->count; i > 0; i--)
        set(planner, &card->moves[i - 1], card->moves[i - 1].now);
    forget_levels(planner, card);
}

void
planner_forget_movers(struct planner *planner)
{
    for (int id = 0; id < PARAMS; id++) {
        free(planner->movers[id]);
        planner->movers[id] = NULL;
    }
}

void
planner_note_movers(struct planner *planner, struct card *card, size_t place)
{
    for (size_t i = 0; i < card->count; i++) {
        size_t *mover =
            planner_mover(planner, card->moves[i].id, card->moves[i].row, card->moves[i].column);

        if (*mover > 0 && *mover - 1 != place)
            add_rest(card, *mover - 1);
        *mover = place + 1;
    }
}

/* ---- grids ---- */

double
planner_floor(const struct planner *planner, enum param_id id, double number)
{
    double step = desk_step(planner->desk, id);

    return step > 0 && isfinite(number) ? floor(number / step + 1e-6) * step : number;
}

double
planner_ceil(const struct planner *planner, enum param_id id, double number)
{
    double step = desk_step(planner->desk, id);

    return step > 0 && isfinite(number) ? ceil(number / step - 1e-6) * step : number;
}

/* ---- preamps ---- */

static double
patch_of(const struct planner *planner, int input)
{
    return value_number(desk_value(planner->desk, PARAM_INPUT_PREAMP, input, 0));
}

/* Where one input's preamp is not known it may be any, so none is. */
static bool
is_patch_known(const struct planner *planner)
{
    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++)
        if (desk_value(planner->desk, PARAM_INPUT_PREAMP, input, 0)->state != VALUE_KNOWN)
            return false;
    return true;
}

/* The patch is the same throughout. */
static void
read_patch(struct planner *planner)
{
    int inputs = desk_count(planner->desk, INDEX_INPUT);
    bool own = desk_supplied(planner->desk, PARAM_INPUT_PREAMP) == SUPPLY_NONE;
    bool known = own || is_patch_known(planner);

    planner->preamps = need_memory((size_t)inputs + 1, sizeof *planner->preamps);
    for (int input = 0; input < inputs; input++) {
        int first = own ? input : 0;

        while (known && first < input && patch_of(planner, first) != patch_of(planner, input))
            first++;
        planner->preamps[input] = known ? first : -1;
    }
}

/* ---- opening and closing ---- */

static double *
new_loudest(int mixes)
{
    double *loudest_db = need_memory((size_t)mixes + 1, sizeof *loudest_db);

    forget(loudest_db, mixes);
    return loudest_db;
}

void
planner_open(struct planner *planner)
{
    int inputs = desk_count(planner->desk, INDEX_INPUT);
    int mixes = desk_count(planner->desk, INDEX_MIX);

    planner->old = need_memory(CHECKS * (size_t)(inputs + mixes) + 1, sizeof *planner->old);
    planner->ground.loudest_db = new_loudest(mixes);
    planner->base_loudest_db = new_loudest(mixes);
    planner->approved_loudest_db = new_loudest(mixes);
    planner->own_mixes = need_memory((size_t)inputs + 1, sizeof *planner->own_mixes);
    planner->moved = need_memory((size_t)mixes + 1, sizeof *planner->moved);
    read_patch(planner);
}

void
planner_close(struct planner *planner)
{
    planner_forget_movers(planner);
    free(planner->ground.loudest_db);
    free(planner->base_loudest_db);
    free(planner->approved_loudest_db);
    free(planner->moved);
    free(planner->old);
    free(planner->preamps);
    free(planner->own_mixes);
    free(planner->bans);
    desk_free(planner->base);
    desk_free(planner->desk);
}
