/* SPDX-License-Identifier: MIT */
/* What moved goes back to where it stood, and nothing else is advised for it.
 *
 * Where it stood is told by, in this order: the value before a leap that still stands; the approved
 * desk, for an object whose gains, filters or protection moved away from it; the desk as this watch
 * took it for set up, for protection that is gone. What left every path gain as it was is no slip:
 * the checks find nothing then.
 *
 * An object goes back whole: its gains, thresholds and protection together with the sends or the
 * master that were moved to make up for them. A re-trim that forgot a send is not undone, but done.
 * With PLAN_ALL_BACK so does every object that differs, with all of it but what is another offset
 * alone.
 */
#include "advice/answer.h"
#include "advice/back.h"
#include "advice/forgotten.h"
#include "change/difference.h"
#include "change/effect.h"
#include "change/moves.h"
#include "check/value_jumped.h"

/* ---- leaps ---- */

static bool
is_of(const struct jump *jump, struct object object)
{
    switch (params[jump->id].row) {
    case INDEX_INPUT:
        return jump->row == object.input;
    case INDEX_MIX:
        return jump->row == object.mix;
    default:
        return object.input < 0 && object.mix < 0;
    }
}

static void
add_jumps(struct draft *draft, struct object object)
{
    const struct moves *moves = draft->planner->ground.moves;
    size_t count = 0;
    const struct jump *jumps = moves ? moves_jumps(moves, &count) : NULL;

    for (size_t i = 0; i < count; i++)
        if (is_of(&jumps[i], object) && value_jumped_is_slip(&draft->planner->ground, &jumps[i]))
            draft_move(draft, jumps[i].id, jumps[i].row, jumps[i].column, jumps[i].from);
}

/* ---- values of another desk ---- */

enum wanted { WANTED_PROTECTION, WANTED_FILTERS, WANTED_DRIFT, WANTED_ALL };

static bool
is_mute(enum param_id id)
{
    return id == PARAM_INPUT_MUTE || id == PARAM_MIX_MUTE || id == PARAM_GROUP_MUTE;
}

/* 48 V moves only with the input closed, which is no matter of a card; labels and mutes are for
 * people. */
static bool
goes_back(enum param_id id, enum wanted wanted)
{
    enum difference_class class = params[id].class;

    if (id == PARAM_INPUT_PHANTOM || id == PARAM_INPUT_PREAMP || is_mute(id))
        return false;
    if (wanted == WANTED_PROTECTION)
        return class == DIFFERENCE_PROTECTION;
    if (wanted == WANTED_FILTERS)
        return difference_is_drift(class) && params[id].kind != DIFFERENCE_OF_STRUCTURE;
    if (wanted == WANTED_ALL)
        return class != DIFFERENCE_LABEL && class != DIFFERENCE_METER;
    return difference_is_drift(class) || id == PARAM_SEND_LEVEL || id == PARAM_SEND_ON ||
           id == PARAM_MIX_FADER || id == PARAM_INPUT_COMP_THRESHOLD ||
           id == PARAM_INPUT_GATE_THRESHOLD;
}

/* What a path is made of must be known, or the object does not go back whole. */
static bool
is_needed(enum param_id id)
{
    return params[id].kind == DIFFERENCE_OF_STRUCTURE && id != PARAM_INPUT_FADER;
}

/* No slip: part of another offset, with the thresholds behind its preamp; a fader that moves no path
 * into a mix. */
static bool
may_stay(const struct planner *planner, enum param_id id, int row, int column)
{
    const struct offsets *offsets = planner->offsets;
    struct effect effect;

    if (!offsets)
        return false;
    if (offsets_fold(offsets, id, row, column))
        return true;
    if (id == PARAM_INPUT_COMP_THRESHOLD || id == PARAM_INPUT_GATE_THRESHOLD)
        return offsets->input_folds[row];
    effect = effect_of(offsets, id, row, column);
    return (id == PARAM_INPUT_FADER || id == PARAM_GROUP_FADER) &&
           !(effect.known && effect_is_any(effect));
}

/* False where the object needs the value to go back whole, and it is not known. */
static bool
add_value(struct draft *draft, const struct desk *from, enum param_id id, int row, int column)
{
    const struct desk *desk = draft->planner->desk;

    if (sure_and(difference_dormant(from, id, row, column),
                 difference_dormant(desk, id, row, column)) == SURE_YES)
        return true;
    switch (difference_of(from, desk, id, row, column)) {
    case SAME:
        break;
    case OTHER:
        if (!may_stay(draft->planner, id, row, column))
            draft_move(draft, id, row, column, value_number(desk_value(from, id, row, column)));
        break;
    case SAME_NOT_KNOWN:
        return !is_needed(id);
    }
    return true;
}

/* From the first row of the object to behind its last: the desk itself has the groups. */
static void
rows_of(const struct desk *desk, struct object object, enum index_kind *kind, int rows[2])
{
    int row = object.input >= 0 ? object.input : object.mix;

    *kind = object.input >= 0 ? INDEX_INPUT : object.mix >= 0 ? INDEX_MIX : INDEX_GROUP;
    rows[0] = row >= 0 ? row : 0;
    rows[1] = row >= 0 ? row + 1 : desk_count(desk, INDEX_GROUP);
}

/* What is not known keeps nothing back where nothing moved. */
static void
add_values(struct draft *draft, const struct desk *from, enum wanted wanted, struct object object)
{
    const struct desk *desk = draft->planner->desk;
    struct card_move missed = {.id = PARAMS};
    enum index_kind kind;
    int rows[2];

    rows_of(desk, object, &kind, rows);
    for (int i = 0; i < PARAMS; i++) {
        enum param_id id = (enum param_id)i;

        if (params[id].row != kind || !goes_back(id, wanted) ||
            desk_supplied(desk, id) != SUPPLY_HEARD || desk_supplied(from, id) == SUPPLY_NONE)
            continue;
        for (int row = rows[0]; row < rows[1]; row++)
            for (int column = 0; column < desk_columns(desk, id); column++)
                if (!add_value(draft, from, id, row, column) && missed.id == PARAMS)
                    missed = (struct card_move){.id = id, .row = row, .column = column};
    }
    if (missed.id != PARAMS && draft->card.count > 0)
        draft_stop(draft, STOP_NOT_KNOWN, missed.id, missed.row, missed.column);
}

static void
add_drift(struct draft *draft, const struct desk *from, struct object object)
{
    enum wanted wanted = WANTED_DRIFT;

    if (draft->planner->offsets)
        wanted = WANTED_ALL;
    else if (object.input >= 0 && forgotten_sends(draft, from, object.input))
        wanted = WANTED_FILTERS;
    add_values(draft, from, wanted, object);
}

/* ---- the card ---- */

/* Whether what differs of the object from the approved desk goes back. That it drifted may be
 * accepted. */
static bool
is_drift(const struct planner *planner, struct object object)
{
    bool place = object.input >= 0 || object.mix >= 0;
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    bool found = place && planner_finds(planner, CHECK_MOVED_FROM_APPROVED, object, &verdict);

    return found || (planner->offsets && verdict.outcome != OUTCOME_FINDING);
}

static void
put_back(struct planner *planner, struct object object)
{
    bool place = object.input >= 0 || object.mix >= 0;
    struct verdict verdict;
    bool leapt = planner_finds(planner, CHECK_VALUE_JUMPED, object, &verdict);
    bool drifted = is_drift(planner, object);
    bool lost = place && planner_finds(planner, CHECK_PROTECTION_LOST, object, &verdict);
    struct draft draft;

    if (!leapt && !drifted && !lost)
        return;
    draft_begin(&draft, planner, CARD_PUT_BACK,
                leapt     ? CHECK_VALUE_JUMPED
                : drifted ? CHECK_MOVED_FROM_APPROVED
                          : CHECK_PROTECTION_LOST,
                object);
    if (leapt)
        add_jumps(&draft, object);
    if (drifted)
        add_drift(&draft, planner->ground.approved, object);
    else if (lost)
        add_values(&draft, planner->ground.anchor, WANTED_PROTECTION, object);
    back_end(&draft);
}

static void
put_all_back(struct planner *planner)
{
    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++)
        put_back(planner, (struct object){input, -1});
    for (int mix = 0; mix < desk_count(planner->desk, INDEX_MIX); mix++)
        put_back(planner, (struct object){-1, mix});
    put_back(planner, (struct object){-1, -1});
}

/* An offset that stays in this pass does not in the next, where what balanced it has gone back. */
static void
go_all_back(struct planner *planner)
{
    const struct desk *approved = planner->wish->ground->approved;
    size_t before = (size_t)-1;

    while (planner->plan->count != before) {
        struct desk *begun = desk_copy(planner->desk);

        before = planner->plan->count;
        planner->offsets = offsets_new(approved, begun);
        put_all_back(planner);
        offsets_free(planner->offsets);
        planner->offsets = NULL;
        desk_free(begun);
    }
    answer_all_back(planner);
}

enum { PASSES = 3 };

/* A mix that is put back can bring to light what an input had made up for it. */
void
plan_put_back(struct planner *planner)
{
    size_t before = (size_t)-1;

    if (planner->wish->ways & PLAN_ALL_BACK) {
        go_all_back(planner);
        return;
    }
    for (int pass = 0; pass < PASSES && planner->plan->count != before; pass++) {
        before = planner->plan->count;
        put_all_back(planner);
        plan_slips(planner);
    }
}
