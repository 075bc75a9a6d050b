/* SPDX-License-Identifier: MIT */
#include "advice/draft.h"

#include <math.h>
#include <stdlib.h>

#include "advice/answer.h"
#include "advice/way.h"
#include "change/difference.h"
#include "core/need.h"

static const double tiny = 1e-9;

/* ---- what is said of a card that is not made ---- */

static bool
is_said(const struct plan *plan, const struct card_stop *stop)
{
    for (size_t i = 0; i < plan->stop_count; i++) {
        const struct card_stop *other = &plan->stops[i];

        if (other->kind == stop->kind && other->object.input == stop->object.input &&
            other->object.mix == stop->object.mix)
            return true;
    }
    return false;
}

void
draft_say_stop(struct plan *plan, struct card_stop stop)
{
    if (is_said(plan, &stop))
        return;
    plan->stops = need_more(plan->stops, plan->stop_count + 1, sizeof *plan->stops);
    plan->stops[plan->stop_count++] = stop;
}

void
draft_short(struct draft *draft, enum stop_reason reason, enum param_id id, int row, int column)
{
    draft_say_stop(draft->planner->plan, (struct card_stop){.kind = draft->card.kind,
                                                            .object = draft->card.object,
                                                            .reason = reason,
                                                            .id = id,
                                                            .row = row,
                                                            .column = column});
}

void
draft_stop(struct draft *draft, enum stop_reason reason, enum param_id id, int row, int column)
{
    draft->stopped = true;
    draft_short(draft, reason, id, row, column);
}

/* ---- drafting ---- */

static bool
is_banned(const struct planner *planner, enum card_kind kind, struct object object)
{
    for (size_t i = 0; i < planner->ban_count; i++)
        if (planner->bans[i].kind == kind && planner->bans[i].object.input == object.input &&
            planner->bans[i].object.mix == object.mix)
            return true;
    return false;
}

void
draft_begin(struct draft *draft, struct planner *planner, enum card_kind kind, int check,
            struct object object)
{
    *draft = (struct draft){.planner = planner,
                            .cause = {check, object},
                            .stopped = is_banned(planner, kind, object),
                            .card = {.kind = kind, .object = object, .gives_db = NAN}};
}

/* A published end holds; a level may always be off. */
static bool
is_in_travel(const struct desk *desk, enum param_id id, double to)
{
    struct travel travel = desk_travel(desk, id);

    if (to == -HUGE_VAL)
        return param_may_be_off(id);
    return !(to < travel.least - tiny) && !(to > travel.most + tiny) && param_accepts(id, to);
}

/* What was approved as it stands was meant. A master or a preamp that goes another way about the
 * same path gains leaves it as it was approved. */
static bool
is_approved(const struct draft *draft, enum param_id id, int row, int column)
{
    const struct desk *approved = draft->planner->ground.approved;

    switch (draft->card.kind) {
    case CARD_PUT_BACK:
    case CARD_MASTER:
    case CARD_TRIM:
        return false;
    default:
        return approved && difference_is_drift(params[id].class) &&
               desk_value(approved, id, row, column)->state == VALUE_KNOWN;
    }
}

/* What slipped past what is accepted of it goes back; any other card leaves it to people. */
static bool
any_accept_holds(const struct draft *draft, enum param_id id, int row, int column)
{
    const struct planner *planner = draft->planner;
    const struct show *show = planner->ground.show;

    for (int i = 0; i < show->accept_count; i++) {
        const struct accept *accept = &show->accepts[i];

        if (held_control(accept, planner->wish->day, draft->cause, id, row, column) &&
            !(draft->card.kind == CARD_PUT_BACK &&
              planner_outgrew(planner, accept, id, row, column)))
            return true;
    }
    return false;
}

/* What an accept holds in place: a preamp also by the other inputs that it feeds. */
static bool
is_accepted(const struct draft *draft, enum param_id id, int row, int column)
{
    const struct planner *planner = draft->planner;
    bool held = any_accept_holds(draft, id, row, column);
    int inputs = id == PARAM_INPUT_PREAMP_GAIN && planner->preamps[row] >= 0
                     ? desk_count(planner->desk, INDEX_INPUT)
                     : 0;

    for (int input = 0; input < inputs && !held; input++)
        held = planner->preamps[input] == planner->preamps[row] &&
               any_accept_holds(draft, id, input, column);
    return held;
}

/* What the show file accepts stays. Where everything goes back, that is what it accepts as it stands
 * today: what has outgrown its accept goes back to where it had not. */
static bool
is_held(const struct draft *draft, enum param_id id, int row, int column)
{
    const struct planner *planner = draft->planner;

    return is_accepted(draft, id, row, column) &&
           (!planner->offsets || planner_accepts(planner, id, row, column));
}

static void
push_move(struct draft *draft, struct card_move move)
{
    struct card *card = &draft->card;

    if (card->count == draft->room) {
        draft->room = draft->room * 2 + 8;
        card->moves = need_more(card->moves, draft->room, sizeof *card->moves);
    }
    card->moves[card->count++] = move;
}

void
draft_expect(struct draft *draft, enum param_id id, int row, int column)
{
    double now = value_number(desk_value(draft->planner->desk, id, row, column));

    if (*planner_mover(draft->planner, id, row, column) > 0)
        push_move(draft, (struct card_move){id, row, column, now, now});
}

void
draft_move(struct draft *draft, enum param_id id, int row, int column, double to)
{
    const struct planner *planner = draft->planner;
    const struct value *value = desk_value(planner->desk, id, row, column);

    if (value->state != VALUE_KNOWN)
        draft_stop(draft, STOP_NOT_KNOWN, id, row, column);
    else if (value_number(value) == to || fabs(value_number(value) - to) <= tiny)
        return;
    else if (desk_supplied(planner->desk, id) != SUPPLY_HEARD)
        draft_stop(draft, STOP_CONSTANT, id, row, column);
    else if (is_approved(draft, id, row, column))
        draft_stop(draft, STOP_APPROVED, id, row, column);
    else if (is_held(draft, id, row, column))
        draft_stop(draft, STOP_ACCEPTED, id, row, column);
    else if (!is_in_travel(planner->desk, id, to))
        draft_stop(draft, STOP_END, id, row, column);
    else
        push_move(draft, (struct card_move){id, row, column, value_number(value), to});
}

#define METER_MOST_DB (-6.0) /* full scale */

void
draft_raise_input(struct draft *draft, int input, double up_db)
{
    const struct desk *then = draft->planner->wish->ground->desk, *now = draft->planner->desk;
    const struct value *level = desk_value(then, PARAM_INPUT_LEVEL, input, 0);

    /* the meter stands behind the preamp, which cards before this one may have moved */
    double moved_db = value_number(desk_value(now, PARAM_INPUT_PREAMP_GAIN, input, 0)) -
                      value_number(desk_value(then, PARAM_INPUT_PREAMP_GAIN, input, 0));

    if (!isnan(moved_db)) /* one that is not known was not moved */
        up_db += moved_db;
    if (level->state != VALUE_KNOWN)
        draft->card.watch_meter = true;
    else if (value_number(level) + up_db > METER_MOST_DB)
        draft_stop(draft, STOP_METER, PARAM_INPUT_LEVEL, input, 0);
}

static bool
is_small(const struct draft *draft)
{
    return draft->card.gives_db < PLAN_LEAST_DB && draft->card.kind != CARD_PUT_BACK &&
           !(draft->planner->wish->ways & PLAN_SMALL_TOO);
}

static bool
is_worth_it(struct draft *draft)
{
    if (draft->stopped || draft->card.count == 0)
        return false;
    draft->planner->plan->small += is_small(draft);
    return !is_small(draft);
}

/* Re-trims help by what they give, whatever is left. */
static bool
helps(const struct draft *draft)
{
    struct verdict verdict;

    switch (draft->card.kind) {
    case CARD_PUT_BACK:
    case CARD_MASTER:
    case CARD_TRIM:
        return true;
    default:
        return !planner_finds(draft->planner, draft->cause.check, draft->cause.object, &verdict);
    }
}

bool
draft_end(struct draft *draft)
{
    struct planner *planner = draft->planner;
    struct plan *plan = planner->plan;
    struct card *card = &draft->card;
    size_t answers = plan->answer_count;

    if (!is_worth_it(draft)) {
        free(card->moves);
        return false;
    }
    way_order(planner->desk, card->moves, card->count);
    answer_before(planner, draft);
    planner_make_moves(planner, card);
    if (!helps(draft)) {
        planner_take_back(planner, card);
        plan->answer_count = answers;
        free(card->moves);
        return false;
    }
    answer_after(planner, draft, answers);
    planner_note_movers(planner, card, plan->count);
    plan->cards = need_more(plan->cards, plan->count + 1, sizeof *plan->cards);
    plan->cards[plan->count++] = *card;
    return true;
}
